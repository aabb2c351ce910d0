#!/bin/sh
# Gathers what this machine says of its slots, cards and links into one tar on standard output.
#
#   sh collect.sh > machine.tar            as root; takes seconds
#   sh collect.sh --keep > machine.tar     keeps serial numbers, MAC addresses, UUIDs: masks nothing
#
# It reads only: nothing is changed, nothing is sent, no network is used. Its temporary folder is
# removed at the end. Unless --keep is given, only what is on the lists below gets into the tar:
# registers, structures, lines, and names of the shapes that the system gives. All else is blanked
# or left out, whatever it is: serial numbers, asset tags, MAC addresses, UUIDs, names that somebody
# gave. A serial number entered in the field for the model cannot be told from a model: look before
# you pass the tar on. What could not be read, and what was blanked as not understood, is said on
# standard error and in not-read.txt inside the tar. All but DMI and smbios_entry_point is text.
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
            miss "${file##*/}: no right to read" # a folder's name may be one that somebody gave
        fi
    done
}

# counters FILE...: a line "path TAB what counts;...;the total" for each; the names are the kernel's own
# (Linux Documentation/ABI/testing/sysfs-bus-pci-devices-aer_stats, drivers/pci/pcie/aer.c)
counters() {
    [ -f "$1" ] || return 0
    awk '
BEGIN {
    n = split("RxErr BadTLP BadDLLP Rollover Timeout NonFatalErr CorrIntErr HeaderOF Undefined DLP " \
        "SDES TLP FCP CmpltTO CmpltAbrt UnxCmplt RxOF MalfTLP ECRC UnsupReq ACSViol UncorrIntErr " \
        "BlockedTLP AtomicOpBlocked TLPBlockedErr PoisonTLPBlocked TOTAL_ERR_COR " \
        "TOTAL_ERR_NONFATAL TOTAL_ERR_FATAL", p, " ")
    while (n) known[p[n--]]
}
FNR == 1 { if (line) print line; line = FILENAME; mark = "\t" }
NF == 2 && $1 in known && $2 ~ /^[0-9]+$/ && ($2 > 0 || $1 ~ /^TOTAL/) {
    line = line mark $1 " " $2; mark = ";"
}
END { if (line) print line }' "$@" 2>/dev/null
}

# links PATH...: a line "path TAB -> target" for each symbolic link, "?" for one with odd signs
links() {
    ls -ld "$@" 2>/dev/null |
        sed -n -e '/^l/!d' -e 's/^l.* \(sys[^ ]*\) -> \(.*\)$/\1	-> \2/p' -e t -e 's/.*/?/p'
}

# masked FILTER: what the filter lets through; with --keep everything
masked() { if [ "$keep" = 1 ]; then cat; else "$1"; fi; }

# What the filters have blanked without understanding it is said.
tell() {
    [ -f "$work/said" ] || return 0
    while IFS= read -r line; do miss "$line"; done <"$work/said"
    rm -f "$work/said"
}

# For all filters. A text that holds what is shaped like a MAC address or a UUID is masked whole.
shared='
function hex(s, i, v) {
    for (i = 1; i <= length(s); i++) v = v * 16 + index("0123456789abcdef", substr(s, i, 1)) - 1
    return v + 0
}
function is_address(s) {
    return length(s) < 17 && s ~ /^([0-9a-f]+:)?[0-9a-f][0-9a-f]:[0-9a-f][0-9a-f][.][0-7]$/
}
function text(s, p, q) {
    p = "[0-9A-Fa-f][0-9A-Fa-f]"; q = p p
    if (s ~ p "[:-]" p "[:-]" p "[:-]" p "[:-]" p "[:-]" p || s ~ "enx" p p p p p p) return "masked"
    return s ~ q q "-" q "-" q "-" q "-" q q q || s ~ /[\001-\037\177]|\\x/ ? "masked" : s
}
function slot(s) {
    return s ~ /^[0-9][0-9]?[0-9]?[0-9]?[0-9]?(-[0-9][0-9]?)?$/ ? s : masked(s)
}
function masked(s) { if (!(s in number)) number[s] = ++names; return "masked-" number[s] }
'

# Of /sys. A name that neither the kernel nor bus and slot have given becomes "masked-1" and so on.
sys_lines() {
    awk -v said="$work/said" "$shared"'
function set(list, of, i, p) { for (i = split(list, p, " "); i; i--) of[p[i]] }
BEGIN {
    FS = "\t"
    d = "[0-9][0-9]?[0-9]?[0-9]?[0-9]?"
    place = "(P" d ")?(o" d "|(p" d ")?s" d ")(f" d ")?((np?|d|i|u|c|v|r)" d ")?$"
    shape["net"] = "^(eth|ib|wlan|wwan|usb)" d "$|^(en|wl|ww|ib)" place
    shape["infiniband"] = "^(roce|ib|iw|opa)" place
    shape["scsi_host"] = "^host" d "$"
    shape["nvme"] = "^nvme" d "$"
    shape["block"] = "^(sd|hd|vd|xvd)[a-z][a-z]?[a-z]?$|^(nvme" d "(c" d ")?n|sr|mmcblk|pmem)" d "$"
    shape["driver"] = "^[A-Za-z0-9_-]+$"
    shape["step"] = "^(ata|usb|host|target|port-|end_device-|expander-|phy-|rport-|virtio)?[0-9]" \
        "[0-9:.-]*$|^nvme" d "(c?" d "n" d ")?$|^pci[0-9a-f]+:[0-9a-f][0-9a-f]$"
    set("devices bus pci drivers kernel iommu_groups class net block nvme infiniband " \
        "scsi_host .. .", word)
    set("vendor device class revision subsystem_vendor subsystem_device numa_node " \
        "current_link_width max_link_width secondary_bus_number subordinate_bus_number " \
        "physical_package_id", numeric)
    set("label model sys_vendor product_name product_version board_vendor board_name " \
        "board_version bios_version bios_date", textual)
}
function name(kind, s) { return length(s) < 24 && s ~ shape[kind] ? s : masked(s) }
function target(s, n, p, i, way) { # its last name is that of the thing itself
    n = split(s, p, "/")
    for (i = 1; i <= n; i++) {
        if (i == n && kind in shape) p[i] = name(kind, p[i])
        else if (!(p[i] in word || is_address(p[i]) || length(p[i]) < 24 && p[i] ~ shape["step"]))
            p[i] = "masked"
        way = way (i > 1 ? "/" : "") p[i]
    }
    return way
}
function value(of, s) { # of an attribute; "" where it is none that this attribute has
    if (of in textual) return text(s)
    if (of in numeric) return s ~ /^-?(0x)?[0-9a-f]+$/ && length(s) < 12 ? s : ""
    if (of ~ /_speed$/) return s ~ /^([0-9.]+ GT\/s( PCIe)?|Unknown( speed)?)$/ ? s : ""
    if (of == "address") return s ~ /^[0-9a-f:]+$/ && length(s) < 18 ? s : ""
    if (of ~ /^aer_dev_/) return s ~ /^([A-Za-z]+ [0-9]+;)*TOTAL_ERR_[A-Z]+ [0-9]+$/ ? s : ""
    if (of == "cpulist") return s ~ /^[0-9,-]+$/ ? s : ""
    return of == "transport" && s ~ /^(pcie|tcp|rdma|fc|loop)$/ ? s : ""
}
function read_path() { # masks the name in it; 0 if it is none of those asked for
    kind = p[4]
    if ($1 ~ /^sys\/bus\/pci\/devices\/[^\/]*(\/[a-z_]+)?$/ && is_address(p[5])) kind = p[6]
    else if ($1 ~ /^sys\/bus\/pci\/slots\/[^\/]*\/address$/) p[5] = slot(p[5])
    else if ($1 ~ /^sys\/class\/(nvme|net|infiniband|scsi_host)\/[^\/]*(\/[a-z]+)?$/)
        p[4] = name(kind = p[3], p[4])
    else if ($1 ~ /^sys\/block\/[^\/]*(\/device\/model)?$/) p[3] = name(kind = "block", p[3])
    else return $1 ~ /^sys\/class\/dmi\/id\/[a-z_]+$/ || $1 ~ /^sys\/devices\/system\// && \
        $1 ~ /\/(node\/node|cpu\/cpu)[0-9]+\/(cpulist|topology\/physical_package_id)$/
    return 1
}
$0 == "# slotfit-collect sys 1" { print; next }
$2 ~ /^-> .*\/virtual\// { next } # no hardware
{
    n = split($1, p, "/")
    known = NF == 2 && read_path()
    told = !known ? "" : $2 ~ /^-> / ? "-> " target(substr($2, 4)) : value(p[n], $2)
    if (told == "" || told == "masked") odd++
    if (told == "") next
    for (i = 1; i < n; i++) printf "%s/", p[i]
    print p[n] "\t" told
}
END { if (odd + names) print "/sys: " odd + names " names or values not known, masked" > said }
'
}

# Of configuration space: the registers that are read, and the chains that lead to them.
registers() {
    awk "$shared"'
function show(i, last, line) {
    only_known()
    for (last = n - 1; last > 63 && b[last] == "00"; last--) ;
    for (i = 0; i <= last || i % 16; i++) {
        line = (i % 16 ? line : sprintf("%02x:", i)) " " (i < n ? b[i] : "00")
        if (i % 16 == 15) print line
    }
    n = 0
}
function take(at, list, i, p) { for (i = split(list, p, " "); i; i--) known[at + p[i]] }
function only_known(at, hops, kind, i) {
    split("", known)
    take(0, "0 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 52")
    take(0, hex(b[14]) % 128 ? "24 25 26" : "44 45 46 47")
    at = int(hex(b[6]) / 16) % 2 ? hex(b[52]) : 0
    for (; at > 63 && at + 1 < n && hops++ < 48; at = hex(b[at + 1])) {
        at -= at % 4
        take(at, "0 1")
        if (b[at] == "10") take(at, "2 3 10 11 12 13 14 15 18 19 20 21 22 23 26 27 44 45 46 47")
        if (b[at] == "0d") take(at, "4 5 6 7") # subsystem of a bridge
    }
    for (at = 256; at > 255 && at + 3 < n && hops++ < 530; at = hex(substr(kind, 1, 3))) {
        at -= at % 4
        take(at, "0 1 2 3")
        if (b[at + 1] b[at] == "000d") take(at, "4 5 6 7") # access control
        kind = b[at + 3] b[at + 2]
    }
    for (i = 0; i < n; i++) if (!(i in known)) b[i] = "00"
}
/:/ { if (n) show(); print (NR > 1 ? "\n" : "") $1; next }
{ for (i = 1; i <= NF; i++) b[n++] = $i }
END { if (n) show() }'
}

# Of the SMBIOS table (DSP0134): in structures of use the fields that are read, and their strings.
# Such a structure has a length of its type, each of its strings is named by a field, and no field
# names one that is not there: else nothing tells what is what. What follows a structure without an
# end is no structure.
structures() {
    awk -v said="$work/said" "$shared"'
function set(kind, sizes, strings, others, numbers) {
    lengths[kind] = sizes; shown[kind] = strings; hidden[kind] = others; plain[kind] = numbers
}
BEGIN {
    set(1, " 25 27 ", "4 5 6", "7 25 26", ""); set(2, " 8 9 ", "4 5 6", "7 8 10", "")
    set(3, " 9 13 17 ", "4", "6 7 8", "5 17 19 20")
    set(4, " 26 32 35 40 42 48 50 51 ", "4 16", "7 32 33 34 50", "24")
    set(9, " 12 13 17 18 ", "4", "", "5 6 7 8 9 10 11 12 13 14 15 16"); set(10, "", "", "", "")
    set(39, " 16 22 ", "6 10", "5 7 8 9 11", "12 13 14 15")
    set(41, " 11 ", "4", "", "5 6 7 8 9 10")
}
{ for (i = 1; i <= NF; i++) b[n++] = $i }
function byte(offset) { return offset < size ? hex(b[at + offset]) : 0 }
function sized(kind, end) { # whether it has a length of its type; some end in a list
    if (index(lengths[kind], " " size " ")) return 1
    if (kind == 2) { end = 15 + 2 * byte(14); return size == end || size == end + 1 }
    if (kind == 3) { end = 21 + byte(19) * byte(20); return size >= end && size <= end + 3 }
    if (kind == 9) end = byte(18) < 32 ? 19 + 5 * byte(18) : 256
    if (kind == 9) return size >= end && size < end + 11
    return kind == 10 && size > 4 && size % 2 == 0
}
function more(kind, i) { # fields whose place hangs on others
    strings = shown[kind]; others = hidden[kind]; numbers = plain[kind]
    for (i = 17; kind == 9 && size > 18 && i < 25 + 5 * byte(18); i++) numbers = numbers " " i
    for (i = 4; kind == 10 && i < size; i += 2) {
        numbers = numbers " " i; strings = strings " " i + 1
    }
    i = 21 + byte(19) * byte(20)
    if (kind == 3) { others = others " " i; numbers = numbers (byte(17) == 255 ? " " i + 2 : "") }
}
function name(fields, how, i, p, v) {
    for (i = split(fields, p, " "); i; i--) {
        if ((v = byte(p[i])) > count) fits = 0
        if (v) named[v] = named[v] how
    }
}
function read_strings(i, v, s) {
    split("", from); split("", said_by); count = 0
    for (i = body; i < end; i++) {
        if (i == body || b[i - 1] == "00") { from[++count] = i; s = "" }
        if (b[i] != "00") said_by[count] = s = s sprintf("%c", hex(b[i]))
    }
}
function understood(kind, i) {
    if (!sized(kind)) return 0
    read_strings(); more(kind); split("", named); fits = 1
    name(strings, "s"); name(others, "h")
    for (i = 1; i <= count; i++) if (!(i in named)) fits = 0
    return fits
}
function blank(i, stop) { for (; i < stop; i++) if (b[i] != "00") b[i] = "58" }
function clear(i, stop) { for (; i < stop; i++) b[i] = "00" }
function only_known(i, p, v) {
    split("", v)
    for (i = split(strings " " numbers, p, " "); i; i--) v[p[i] + 0]
    for (i = 4; i < size; i++) if (!(i in v)) b[at + i] = "00"
    for (i = 1; i <= count; i++)
        if (named[i] ~ /h/ || text(said_by[i]) != said_by[i])
            blank(from[i], i < count ? from[i + 1] : end)
}
function structure(kind) {
    if (kind in lengths && understood(kind)) { only_known(); return }
    if (kind in lengths) {
        print "SMBIOS table: type " kind " at byte " at " not understood, blanked" > said
        b[at] = "7e" # inactive
    }
    clear(at + 2, body); blank(body, end)
}
END {
    for (at = 0; at + 4 <= n && !last; at = end + 2) {
        size = hex(b[at + 1]); body = at + size
        for (end = body; end + 1 < n && b[end] b[end + 1] != "0000"; end++) ;
        if (size < 4 || end + 1 >= n) break
        structure(hex(b[at])); last = hex(b[at]) == 127
    }
    for (i = at; i < n && b[i] == "00"; i++) ;
    if (i < n) print "SMBIOS table: not understood from byte " at " on, blanked" > said
    clear(at, n)
    for (i = 0; i < n; i++) printf "%s%s", b[i], (i % 16 == 15 || i == n - 1 ? "\n" : " ")
}'
}

# Of the entry point: what it is, and the version.
entry_point() {
    awk '
{ for (i = 1; i <= NF && n < 32; i++) b[n++] = $i }
END {
    start = b[0] b[1] b[2] b[3] b[4]
    if (start ~ /^5f534d5f/) { b[4] = b[5] = "00"; from = 6; to = 7 }
    else if (start == "5f534d335f") { from = 7; to = 8 }
    else if (start == "5f444d495f") from = to = 14
    else start = ""
    for (i = 0; i < n; i++) print start != "" && (i < 5 || i >= from && i <= to) ? b[i] : "00"
}'
}

# bytes: hexadecimal numbers back to bytes, by printf
bytes() {
    awk "$shared"'{ for (i = 1; i <= NF; i++) printf "\\0%03o", hex($i); print "" }' |
        while IFS= read -r line; do printf '%b' "$line"; done
}

# Of lspci: a function, what it is, its link, slot and switches; no vital product data but its name.
lspci_lines() {
    awk "$shared"'
/^$/ { print; next }
/^[0-9a-f]/ { split($0, p, " "); if (is_address(p[1])) print text($0); next }
{
    match($0, /^[ \t]*/); tabs = substr($0, 1, RLENGTH); line = substr($0, RLENGTH + 1)
    key = line; sub(/:.*/, "", key)
    rest = substr(line, length(key) + 2); sub(/^[ \t]*/, "", rest)
}
key == "Capabilities" && rest ~ /^<access denied>/ { print tabs "Capabilities: <access denied>" }
key == "Capabilities" && match(rest, /^\[[0-9a-f]+( v[0-9]+)?\] ?/) {
    line = substr(rest, RLENGTH + 1)
    if (line !~ /^(Express |Subsystem: )/) line = ""
    print tabs key ": " substr(rest, 1, RLENGTH) text(line)
}
key == "Physical Slot" { print tabs key ": " slot(rest) }
key ~ /^(Subsystem|DeviceName|Product Name|Kernel driver in use)$/ {
    print tabs key ": " text(rest)
}
key ~ /^(NUMA node|IOMMU group)$/ && rest ~ /^[0-9]+$/ { print tabs key ": " rest }
key ~ /^(Status|Bus|DevSta|Lnk(Cap|Sta)2?|Slt(Cap|Sta)|Slot|Link|ACS(Cap|Ctl))$/ || \
    line ~ /^(Slot #|TrErr|ClockPM)/ { print tabs text(line) }'
}

# Of what the kernel has written: errors of PCI Express, links, resets of disks, each of a known shape
# and only as far as that goes; free text is none.
kernel_lines() {
    awk '
BEGIN {
    d = "[0-9]+"; x = "0x[0-9a-f]+"
    at = "[0-9a-f]+:[0-9a-f][0-9a-f]:[0-9a-f][0-9a-f][.][0-7]"
    by = "[A-Za-z0-9_]+ " at ": (AER: |pciehp: )*"
    rate = d "[.]" d " GT/s( PCIe)?"
    shape[1] = by "PCIe Bus Error: severity=(Correct|Uncorrect)(ed|able)( [(](Non-)?Fatal[)])?, " \
        "type=(Physical Layer|Data Link Layer|Transaction Layer|Inaccessible)"
    shape[2] = by " *[[] *" d "[]] [A-Za-z]+"
    shape[3] = by "Slot[(][0-9-]+[)]: (Link Down|Link Up|Card not present|Card present)"
    shape[4] = by d "[.]" d " Gb/s available PCIe bandwidth, limited by " rate " x" d " link at " at
    shape[5] = by "(broken device, )?retraining (non-functional downstream )?link at " d "[.]" d " ?GT/s"
    shape[6] = "nvme nvme" d ": I/O (tag )?" d " ([(][0-9a-f]+[)] )?" \
        "(opcode " x " [(][A-Za-z/ ]+[)] )?QID " d " timeout"
    shape[7] = "nvme nvme" d ": (controller is down; will reset|resetting controller" \
        "|Device not ready; aborting reset|Disabling device after reset failure|Removing after probe failure)"
    shape[8] = "ata" d "([.]" d ")?: (hard resetting link|soft resetting link|COMRESET failed" \
        "|limiting SATA link speed to " d "[.]" d " Gbps|link is slow to respond" \
        "|SATA link (down|up " d "[.]" d " Gbps)" \
        "|exception Emask " x " SAct " x " SErr " x " action " x "|failed command: [A-Z ]+)"
    shape[9] = "sd " d ":" d ":" d ":" d ": (Power-on or device reset occurred|attempting task abort" \
        "|[[]sd[a-z]+[]] tag#" d " FAILED Result: hostbyte=DID_[A-Z_]+)"
    shape[10] = "(blk_update_request: )?(I/O|critical medium|critical target|protection) error, dev " \
        "(sd[a-z]+|nvme" d "(c" d ")?n" d "), sector " d
}
lines < 2000 && match($0, /^[[] *[0-9]+[.][0-9]+[]] /) {
    time = substr($0, 1, RLENGTH); rest = substr($0, RLENGTH + 1)
    for (i = 1; i <= 10; i++) if (match(rest, "^(" shape[i] ")")) {
        print time substr(rest, 1, RLENGTH); lines++; break
    }
}'
}

# within FILE FILTER COMMAND...: what the command prints, masked; given up where it hangs
within() {
    file=$1
    filter=$2
    shift 2
    rm -f "$work/ended"
    # What hangs may outlive this script: it must not hold the caller's pipes open.
    ("$@" >"$work/raw" & echo $! >"$work/pid"; wait $!; : >"$work/ended") >/dev/null 2>&1 &
    tries=$patience
    until [ -e "$work/ended" ]; do
        [ "$tries" -gt 0 ] || { miss "$1: hangs, given up"; kill -9 "$(cat "$work/pid")"; break; }
        tries=$((tries - 1))
        sleep 0.1 2>/dev/null || { sleep 1; tries=$((tries - 9)); }
    done
    masked "$filter" <"$work/raw" >"$file"
}

devices=sys/bus/pci/devices
tables=sys/firmware/dmi/tables
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
    counters "$devices"/*/aer_dev_*
    links "$devices"/* "$devices"/*/driver "$devices"/*/iommu_group "$devices"/*/physfn
    attributes sys/bus/pci/slots/*/address sys/devices/system/node/node*/cpulist \
        sys/devices/system/cpu/cpu[0-9]*/topology/physical_package_id
    attributes sys/class/nvme/*/model sys/class/nvme/*/transport sys/block/*/device/model
    links sys/class/nvme/* sys/block/* sys/class/net/* sys/class/infiniband/* \
        sys/class/scsi_host/*
    # The table itself says the same, and shows whether it is sound.
    [ -r "$tables/DMI" ] || for name in sys_vendor product_name product_version board_vendor \
        board_name board_version bios_version bios_date; do
        attributes sys/class/dmi/id/$name
    done
} | masked sys_lines >"$out/sys.txt"
tell

# Configuration space, whole only where PCI Express makes every register safe to read.
for device in "$devices"/*; do
    case ${device##*/} in *[!0-9a-f:.]*) continue ;; *:??:??.?) ;; *) continue ;; esac
    [ -f "$device/config" ] || continue
    size=64
    [ -f "$device/max_link_speed" ] && size=4096
    echo "${device##*/}"
    od -v -A n -t x1 -N $size "$device/config" 2>/dev/null ||
        miss "$device/config: not readable"
done | masked registers >"$out/pci-config.txt"

if [ -r "$tables/DMI" ] && [ -r "$tables/smbios_entry_point" ]; then
    od -v -A n -t x1 "$tables/smbios_entry_point" | masked entry_point |
        bytes >"$out/smbios_entry_point"
    od -v -A n -t x1 "$tables/DMI" | masked structures | bytes >"$out/DMI"
    tell
else
    miss "$tables: not readable (needs root and Linux 4.2; else give what dmidecode prints as well)"
fi

if [ "$root" != / ]; then
    miss 'lspci, dmesg: not run, another root was given'
else
    if command -v lspci >/dev/null; then
        within "$out/lspci.txt" lspci_lines lspci -Dvvvnn
    else
        miss 'lspci: not installed'
    fi
    : >"$work/kernel"
    if command -v dmesg >/dev/null; then
        within "$work/kernel" kernel_lines dmesg
    else
        miss 'dmesg: not installed'
    fi
    {
        echo '# slotfit-collect kernel 1'
        sed -n 's/^\([0-9]*\)[. ].*/# running for \1 s/p' proc/uptime 2>/dev/null
        cat "$work/kernel"
    } >"$out/kernel.txt"
fi
[ "$(id -u)" = 0 ] || miss 'not root: capabilities, link states and tables are incomplete'
{
    echo 'slotfit-collect 1'
    echo "kernel $(uname -r | sed 's/^\([0-9]*[.][0-9]*\).*/\1/') $(uname -m)"
    if [ "$keep" = 1 ]; then echo 'nothing masked'; else echo 'all masked but what is read'; fi
} >"$out/about.txt"
# The name of whoever ran this is nobody's business, where tar can leave it out.
owner='--owner=0 --group=0'
tar $owner -cf /dev/null "$out/about.txt" 2>/dev/null || owner=
tar -C "$work" $owner -cf - slotfit-collect
