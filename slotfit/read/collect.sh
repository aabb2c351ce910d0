#!/bin/sh
# Gathers what this machine says of its slots, cards and links into one tar on standard output.
#
#   sh collect.sh > machine.tar            as root; takes seconds
#   sh collect.sh --keep > machine.tar     keeps serial numbers, MAC addresses and UUIDs
#
# It reads only: nothing is changed, nothing is sent, no network is used. Its temporary folder is
# removed at the end. Serial numbers, asset tags, MAC addresses and UUIDs are masked, and tables
# that might hold more of them are blanked, unless --keep is given. What could not be read is said
# on standard error and in not-read.txt inside the tar. Everything in the tar but DMI and
# smbios_entry_point is plain text: look at it before you pass it on.
#
# SLOTFIT_ROOT names another root folder (a copied tree) to read from.

set -u
umask 077
LC_ALL=C
PATH=$PATH:/usr/local/sbin:/usr/sbin:/sbin
export LC_ALL PATH
unset CDPATH TAR_OPTIONS
root=${SLOTFIT_ROOT:-/}
keep=0
patience=200 # tenths of a second
case ${1:-} in
'') ;;
--keep) keep=1 ;;
*) sed -n '2,/^$/s/^# \{0,1\}//p' "$0" >&2; exit 2 ;;
esac
if [ -t 1 ]; then
    echo 'collect: write the tar to a file: sh collect.sh > machine.tar' >&2
    exit 2
fi
for tool in awk head ls od sed tar tee; do
    command -v $tool >/dev/null || { echo "collect: $tool is needed, and not there" >&2; exit 1; }
done
# The first place with room: a rescue system may have a /tmp that is full or cannot be written.
work=
for place in "${TMPDIR:-/tmp}" /dev/shm /run /var/tmp; do
    mkdir "$place/collect.$$" 2>/dev/null || continue
    work=$place/collect.$$
    trap 'rm -rf "$work"' EXIT
    head -c 16000000 /dev/zero 2>/dev/null >"$work/room" && rm "$work/room" && break
    rm -rf "$work"
    work=
done
[ "$work" ] || { echo 'collect: no room for 16 MB; set TMPDIR to a folder with more' >&2; exit 1; }
trap 'exit 1' HUP INT TERM
out=$work/slotfit-collect
mkdir "$out" && cd "$root" || exit 1
: >"$out/not-read.txt"

miss() { echo "$1" | tee -a "$out/not-read.txt" >&2; }

# attributes FILE...: a line "path TAB first line of it" for each that can be read
attributes() {
    for file; do
        [ -f "$file" ] || continue
        value=
        { IFS= read -r value <"$file"; } 2>/dev/null
        # A shell reads byte by byte, which some files (cpulist) answer with nothing.
        [ -n "$value" ] || value=$(head -n 1 "$file" 2>/dev/null)
        if [ -n "$value" ]; then
            printf '%s\t%s\n' "$file" "$value"
        elif [ ! -r "$file" ]; then
            miss "$file: no right to read"
        fi
    done
}

# links PATH...: a line "path TAB -> target" for each symbolic link
links() { ls -ld "$@" 2>/dev/null | sed -n 's/^l.* \(sys[^ ]*\) -> \(.*\)$/\1	-> \2/p'; }

# Serial numbers have names; MAC addresses and UUIDs have a shape. Of a card's own data (lines like
# "[SN] ...", "[V0] ...") only part number and revision stay.
mask() {
    if [ "$keep" = 1 ]; then cat; return; fi
    pair='[0-9A-Fa-f]\{2\}'
    four='[0-9A-Fa-f]\{4\}'
    sed -e 's/\(Serial [Nn]umber:\{0,1\}\).*/\1 masked/' -e 's/\(Asset [Tt]ag:\).*/\1 masked/' \
        -e 's/\(UUID:\).*/\1 masked/' \
        -e 's/^\([[:space:]]*\[[A-DF-OQ-Z][0-9A-Z]\] [A-Z].*:\).*/\1 masked/' \
        -e "s/$pair\([:-]$pair\)\{5,7\}/masked/g" -e "s/enx\($pair\)\{6\}/enxmasked/g" \
        -e "s/$four$four-$four-$four-$four-$four$four$four/masked/g"
}

# within FILE COMMAND...: what the command prints, masked; given up where it hangs
within() {
    file=$1
    shift
    rm -f "$work/ended"
    # What hangs may outlive this script: it must not hold the caller's pipes open.
    ("$@" >"$work/raw" & echo $! >"$work/pid"; wait $!; : >"$work/ended") >/dev/null 2>&1 &
    tries=$patience
    until [ -e "$work/ended" ]; do
        [ "$tries" -gt 0 ] || { miss "$1: hangs, given up"; kill -9 "$(cat "$work/pid")"; break; }
        tries=$((tries - 1))
        sleep 0.1 2>/dev/null || { sleep 1; tries=$((tries - 9)); }
    done
    mask <"$work/raw" >"$file"
}

devices=sys/bus/pci/devices
[ -d "$devices" ] || miss "$devices: not there"
{
    echo '# slotfit-collect sys 1'
    for device in "$devices"/*; do
        for name in vendor device class revision subsystem_vendor subsystem_device numa_node \
            current_link_speed current_link_width max_link_speed max_link_width \
            secondary_bus_number subordinate_bus_number label; do
            attributes "$device/$name"
        done
    done
    links "$devices"/* "$devices"/*/driver "$devices"/*/iommu_group "$devices"/*/physfn
    attributes sys/bus/pci/slots/*/address sys/devices/system/node/node*/cpulist \
        sys/devices/system/cpu/cpu[0-9]*/topology/physical_package_id
    attributes sys/class/nvme/*/model sys/class/nvme/*/transport sys/block/*/device/model
    links sys/class/nvme/* sys/block/* sys/class/net/* sys/class/infiniband/* \
        sys/class/scsi_host/*
    for name in sys_vendor product_name product_version board_vendor board_name board_version \
        bios_version bios_date; do
        attributes sys/class/dmi/id/$name
    done
} | mask >"$out/sys.txt"

# Configuration space, whole only where PCI Express makes every register safe to read. The serial
# number capability (extended, 0003h) holds a MAC address more often than not.
hex='function hex(s, i, v) {
    for (i = 1; i <= length(s); i++) v = v * 16 + index("0123456789abcdef", substr(s, i, 1)) - 1
    return v + 0
}'
for device in "$devices"/*; do
    [ -f "$device/config" ] || continue
    size=64
    [ -f "$device/max_link_speed" ] && size=4096
    echo "${device##*/}"
    od -v -A n -t x1 -N $size "$device/config" 2>/dev/null || miss "$device/config: not readable"
done | awk -v keep="$keep" "$hex"'
function show(at, hops, i, last, line) {
    for (at = 256; !keep && at >= 256 && at + 11 < n && hops++ < 480; ) {
        if (b[at + 1] b[at] == "0003") for (i = at + 4; i < at + 12; i++) b[i] = "00"
        at = hex(substr(b[at + 3] b[at + 2], 1, 3))
    }
    for (last = n - 1; last > 63 && b[last] == "00"; last--) ;
    for (i = 0; i <= last || i % 16; i++) {
        line = (i % 16 ? line : sprintf("%02x:", i)) " " (i < n ? b[i] : "00")
        if (i % 16 == 15) print line
    }
    n = 0
}
/:/ { if (n) show(); print (NR > 1 ? "\n" : "") $1; next }
{ for (i = 1; i <= NF; i++) b[n++] = $i }
END { if (n) show() }' >"$out/pci-config.txt"

# The SMBIOS table. Structures of use keep all but serial number, asset tag and UUID; of the others
# only the outline stays. Back to bytes by printf.
tables=sys/firmware/dmi/tables
if [ -r "$tables/DMI" ] && cat "$tables/smbios_entry_point" >"$out/smbios_entry_point" 2>/dev/null
then
    od -v -A n -t x1 "$tables/DMI" | awk -v keep="$keep" "$hex"'
{ for (i = 1; i <= NF; i++) b[n++] = $i }
function blank(from, to) { for (; from < to; from++) if (b[from] != "00") b[from] = "58" }
function blank_string(number, at) {
    for (; number > 1 && at < n; at++) if (b[at] == "00") number--
    for (; number == 1 && at < n && b[at] != "00"; at++) b[at] = "58"
}
END {
    wanted[0] = wanted[9] = wanted[10] = wanted[41] = wanted[127] = ""
    wanted[1] = "7"; wanted[2] = wanted[3] = "7 8"; wanted[4] = "32 33"; wanted[39] = "8 9"
    for (at = 0; !keep && at + 4 <= n; at = end + 2) {
        kind = hex(b[at]); text = at + hex(b[at + 1])
        if (text < at + 4) break
        for (end = text; end + 1 < n && b[end] b[end + 1] != "0000"; end++) ;
        if (kind in wanted) {
            count = split(wanted[kind], field, " ")
            for (i = 1; i <= count; i++)
                if (at + field[i] < text) blank_string(hex(b[at + field[i]]), text)
            if (kind == 1) for (i = at + 8; i < at + 24 && i < text; i++) b[i] = "00"
        } else {
            for (i = at + 4; i < text && i < n; i++) b[i] = "00"
            blank(text, end < n ? end : n)
        }
    }
    for (i = 0; i < n; i++) printf "\\0%03o%s", hex(b[i]), (i % 64 == 63 || i == n - 1 ? "\n" : "")
}' | while IFS= read -r line; do printf '%b' "$line"; done >"$out/DMI"
else
    miss "$tables: not readable (needs root and Linux 4.2)"
fi

if [ "$root" != / ]; then
    miss 'lspci, dmidecode: not run, another root was given'
else
    if command -v lspci >/dev/null; then
        within "$out/lspci.txt" lspci -Dvvvnn
    else
        miss 'lspci: not installed'
    fi
    if command -v dmidecode >/dev/null; then
        within "$out/dmidecode.txt" dmidecode -t 0,1,2,3,4,9,10,39,41
    else
        miss 'dmidecode: not installed'
    fi
fi
[ "$(id -u)" = 0 ] || miss 'not root: capabilities, link states and tables are incomplete'
{
    echo 'slotfit-collect 1'
    echo "kernel $(uname -srm)"
    if [ "$keep" = 1 ]; then echo 'serial numbers kept'; else echo 'serial numbers masked'; fi
} >"$out/about.txt"
# The name of whoever ran this is nobody's business, where tar can leave it out.
owner='--owner=0 --group=0'
tar $owner -cf /dev/null "$out/about.txt" 2>/dev/null || owner=
tar -C "$work" $owner -cf - slotfit-collect
