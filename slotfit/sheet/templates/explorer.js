"use strict";
(function () {
  const byId = (id) => document.getElementById(id);
  const data = JSON.parse(byId("data").textContent);

  /* what fits where: looks up, decides nothing */
  const parts = byId("ask-part");
  const sites = byId("ask-site");
  const answer = byId("answer");
  function option(select, value, text) {
    const made = document.createElement("option");
    made.value = value;
    made.textContent = text;
    select.append(made);
  }
  data.parts.forEach((part, n) => option(parts, n, part[0] + (part[1] === part[0] ? "" : " (" + part[1] + ")")));
  data.sites.forEach((site, n) => option(sites, n, site[1] + " (" + site[2] + ")"));

  function add(parent, name, text, look) {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    if (look) made.className = look;
    parent.append(made);
    return made;
  }
  /* those of one verdict for the same reasons are named together */
  function show(title, cells, nameOf) {
    answer.replaceChildren();
    add(answer, "h3", title);
    const list = add(answer, "ul");
    const groups = new Map();
    for (const cell of cells) {
      const same = JSON.stringify(cell.slice(2));
      if (!groups.has(same)) groups.set(same, []);
      groups.get(same).push(cell);
    }
    const order = Array.from(groups.values()).sort((a, b) => b[0][3] - a[0][3] || a[0][2] - b[0][2]);
    for (const group of order) {
      const [, , verdict, planned, says, reasons, aside] = group[0];
      const item = add(list, "li", "", verdict < data.yes ? "yes" : "no");
      add(item, "b", group.map(nameOf).join(", "));
      if (planned) add(item, "span", "in the plan", "planned");
      add(item, "span", data.verdicts[verdict], "word");
      for (const n of says) add(item, "p", data.texts[n], "says");
      for (const n of reasons) add(item, "p", data.texts[n], "reason");
      for (const n of aside) add(item, "p", data.texts[n], "note");
    }
    if (!order.length) add(answer, "p", "Nothing is known of it.");
  }
  function askPart(n) {
    sites.value = "";
    parts.value = n;
    if (n === "") return answer.replaceChildren();
    const at = Number(n);
    show(data.parts[at][0], data.cells.filter((cell) => cell[0] === at), (cell) => data.names[cell[1]]);
  }
  function askSite(n) {
    parts.value = "";
    sites.value = n;
    if (n === "") return answer.replaceChildren();
    const at = Number(n);
    show(data.names[at], data.cells.filter((cell) => cell[1] === at), (cell) => data.parts[cell[0]][0]);
  }
  parts.addEventListener("change", () => askPart(parts.value));
  sites.addEventListener("change", () => askSite(sites.value));

  /* a tap on a slot in the picture asks about it */
  for (const drawn of document.querySelectorAll(".drawing [data-site]"))
    drawn.addEventListener("click", () => {
      const n = data.sites.findIndex((site) => site[0] === drawn.dataset.site);
      if (n < 0) return;
      askSite(String(n));
      byId("explorer").scrollIntoView();
      sites.focus({ preventScroll: true });
    });
})();
