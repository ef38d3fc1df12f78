
"use strict";
(() => {
  const most = 15; // results shown of one chapter
  const field = document.getElementById("words"), found = document.getElementById("found"), results = document.getElementById("results");
  const fold = (s) => s.toLowerCase().replaceAll("-", " ").replace(/\s+/g, " ").trim();
  const entries = [...document.querySelectorAll("article")].map((a) => ({
    place: a, title: a.querySelector(".title").textContent, name: "", says: "", text: "",
    chapter: a.closest(".chapter").querySelector("h2").textContent,
  }));
  const read = () => entries.forEach((e) => {
    e.name = fold(e.title + " " + (e.place.querySelector(".id")?.textContent ?? ""));
    e.says = fold([...e.place.querySelectorAll(":scope > p")].map((p) => p.textContent).join(" "));
    e.text = fold(e.place.textContent);
  });
  const make = (tag, text) => { const n = document.createElement(tag); n.textContent = text; return n; };

  // the line of an entry in which the first word stands, shortened around it
  const around = (entry, word) => {
    for (const n of entry.place.querySelectorAll("p, dd")) {
      const s = n.textContent.replace(/\s+/g, " "), at = s.toLowerCase().indexOf(word);
      if (at < 0 || n.closest(".id")) continue;
      const from = at < 60 ? 0 : s.indexOf(" ", at - 50) + 1;
      const to = s.length < from + 130 ? s.length : Math.max(s.lastIndexOf(" ", from + 130), at + word.length);
      return (from ? "… " : "") + s.slice(from, to) + (to < s.length ? " …" : "");
    }
    return "";
  };

  // marks the words in the text, where the browser can do so without touching it
  const mark = (list, words) => {
    if (!globalThis.Highlight) return;
    CSS.highlights.delete("found");
    if (!words.length) return;
    const ranges = [];
    for (const e of list) {
      const walk = document.createTreeWalker(e.place, NodeFilter.SHOW_TEXT);
      for (let n; (n = walk.nextNode());) {
        const s = n.data.toLowerCase();
        for (const w of words) for (let at = s.indexOf(w); at >= 0; at = s.indexOf(w, at + w.length)) {
          const r = new Range();
          r.setStart(n, at);
          r.setEnd(n, at + w.length);
          ranges.push(r);
        }
      }
    }
    CSS.highlights.set("found", new Highlight(...ranges.slice(0, 5000)));
  };

  const search = () => {
    if (entries.length && !entries[0].text) read();
    const words = fold(field.value).split(" ").filter((w) => w.length > 1);
    const hits = words.length ? entries.filter((e) => words.every((w) => e.text.includes(w))) : [];
    results.replaceChildren();
    mark(hits, words);
    if (!words.length) { found.textContent = ""; return; }
    found.textContent = hits.length === 1 ? "1 place" : hits.length + " places";
    for (const chapter of new Set(hits.map((e) => e.chapter))) {
      const own = hits.filter((e) => e.chapter === chapter);
      const all = (s) => words.every((w) => s.includes(w)), rank = (e) => (all(e.name) ? 2 : all(e.says) ? 1 : 0);
      own.sort((a, b) => rank(b) - rank(a)); // stable: named so first, then said so, else as in the handbook
      const list = make("ul", "");
      for (const e of own.slice(0, most)) {
        const item = make("li", ""), link = make("a", e.title);
        link.href = "#" + e.place.id;
        item.append(link, make("span", around(e, words[0])));
        list.append(item);
      }
      if (own.length > most) list.append(make("li", (own.length - most) + " more; another word narrows it down"));
      results.append(make("h2", chapter + " (" + own.length + ")"), list);
    }
  };

  let wait;
  field.addEventListener("input", () => { clearTimeout(wait); wait = setTimeout(search, 150); });
  document.getElementById("search").hidden = false;
  addEventListener("beforeprint", () => document.querySelectorAll("nav details").forEach((d) => { d.open = true; }));
})();
