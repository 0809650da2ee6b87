// Computes a card again with a reader's own numbers, by the page's own Python, and shows what they change. What a
// reader types is only ever shown as text; nothing of it is stored but in the address.
(() => {
  "use strict";
  const own = (window.buildlogOwn = window.buildlogOwn || {});
  // A theme that brings in a page without loading it runs this once more.
  if (own.begin) return own.begin();
  const root = document.documentElement;
  const folder = new URL("buildlog/own/", document.currentScript.src);
  const say = (text, values = {}) => (globalThis.buildlogSay || String)(text)
    .replace(/\{(\w+)\}/g, (_, name) => values[name]);
  // In the language of the page that is shown: the next one that is brought in may have another.
  let WORDS, english;
  const words = () => ({
    loading: (number, all) => say("Loading the calculation: file {number} of {all}.", { number, all }),
    starting: say("Starting the calculation."),
    again: say("Try again"),
    missing: say("The calculation could not be loaded, so nothing can be computed here."),
    broken: say("The calculation does not run in this browser, so nothing can be computed here."),
    differs: (row) =>
      say("This browser computes another number than the page shows ({row}), so it offers nothing.", { row }),
    intro: say("Type your own values, with their units. Only this card and the figures that rest on it are " +
      "computed again. Nothing you type leaves this browser."),
    allCases: say("For every case that has none of its own"),
    back: say("Back to the author’s"),
    link: say("Copy a link with these numbers"),
    copied: say("The link is copied."),
    byHand: say("A link with these numbers, to copy"),
    reset: say("Reset: the author’s numbers"),
    banner: say("With your own numbers, not the author’s."),
    yours: say("yours:"),
    noLonger: say("no longer so"),
    computing: say("Computing with your numbers."),
    firstOrder: say("Some ± that the proof finds by drawing are to first order here, and may differ for that."),
    authors: say("The author’s numbers again."),
    faulty: (count) => say(count === 1
      ? "One value cannot be used, so nothing is computed: the card shows the author’s numbers."
      : "{count} values cannot be used, so nothing is computed: the card shows the author’s numbers.", { count }),
    same: say("Computed with your numbers: no result changes."),
    changed: (count, all) => say(count === 1
      ? "Computed with your numbers: {count} of {all} values differs from the author’s."
      : "Computed with your numbers: {count} of {all} values differ from the author’s.", { count, all }),
    added: (count) => " " + say(count === 1 ? "{count} row is new; below the form."
      : "{count} rows are new; below the form.", { count }),
    figures: (count) => " " + say(count === 1 ? "So does one figure of the text."
      : "So do {count} figures of the text.", { count }),
    instead: (what, now, before) => " " + say("{what}: {now}, the author’s {before}.", { what, now, before }),
    unknown: (names) => say("The link has numbers twice, or for what is not here, which were left out: {names}.",
      { names }),
    none: say("no value"),
    more: say("Results that the author’s card does not have"),
    drawn: say("The chart cannot be drawn with your numbers:"),
    pattern: say("This pattern is of the author’s numbers, not of yours."),
  });
  const MOST_TOLD = 3;
  const PAUSE = 1200;

  // --- what the scripts that are loaded hand over ---------------------------------------------

  const taken = new Map();
  own.take = (_, made) => taken.set(document.currentScript.src, made);

  const addressOf = (name) => new URL(name, folder).href;
  const loading = new Map();
  function load(name) {
    if (loading.has(name)) return loading.get(name);
    const promise = new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.src = addressOf(name);
      script.onload = resolve;
      script.onerror = () => {
        loading.delete(name);
        script.remove();
        reject(new Error(name));
      };
      document.head.append(script);
    });
    loading.set(name, promise);
    return promise;
  }
  const pause = () => new Promise((resolve) => { setTimeout(resolve, 30); });

  // --- elements -------------------------------------------------------------------------------

  function make(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (value === true) element.setAttribute(name, "");
      else if (value !== false && value !== "") element.setAttribute(name, value);
    }
    element.append(...children);
    return element;
  }
  const span = (name, ...children) => make("span", { class: name }, ...children);
  const seen = (node) => node.textContent.replace(/\s+/g, " ").trim();

  function number(said) {
    return said.margin ? [said.number, make("small", {}, " " + said.margin)] : [said.number];
  }
  function pair(ours, other) {
    return [span("buildlog-own", ...[ours].flat()), span("buildlog-other", make("span", {}, " ("),
      ...[other].flat(), make("span", {}, ")"))];
  }
  function both(said, system) {
    if (!said.other) return make("span", {}, ...number(said));
    return span("buildlog-both buildlog-in-" + system, ...pair(number(said), number(said.other)));
  }
  function valueOf(cell, row) {
    if (!cell || !cell.number) return span("buildlog-none", "–");
    const shown = both(cell, row.system);
    if (!cell.limit) return shown;
    return span("buildlog-" + cell.limit, shown, span("buildlog-hidden", " ",
      cell.limit === "near" ? say("near its limit") : say("beyond its limit")));
  }
  function changeOf(change, row) {
    if (!change) return [span("buildlog-none", "–")];
    if (change.same) return [span("buildlog-none", say("same"))];
    const parts = [both(change, row.system)];
    if (change.unit) parts.push(say("\u00a0points"));
    if (change.percent) parts.push(" ", span("buildlog-percent", change.percent));
    return parts;
  }
  const unitsOf = () => root.dataset.buildlogUnits || "author";
  const inWords = (cell, row) => {
    if (!cell || !cell.number) return WORDS.none;
    const other = cell.other && ["metric", "us"].includes(unitsOf()) && unitsOf() !== row.system;
    const said = other ? { ...cell.other, unit: row.other_unit } : { ...cell, unit: row.unit };
    return [said.number, said.margin, said.unit].filter(Boolean).join(" ");
  };
  const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  const alone = (cell) => cell && { ...cell, change: undefined }; // without what it is against the first case
  const drawn = ({ rows }) => Object.values(rows).some((row) => Object.values(row.cells).some((cell) => cell.bent));
  const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

  // --- what is put into the page, and taken out again -------------------------------------------

  class Planted {
    constructor() { this.undone = []; }

    /** Show other nodes in place of these, which stay there for paper. */
    swap(nodes, ...fresh) {
      const kept = span("buildlog-authors"), mine = span("buildlog-mine", ...fresh);
      nodes[0].before(mine, kept);
      kept.append(...nodes);
      this.undone.push(() => { mine.remove(); kept.replaceWith(...kept.childNodes); });
    }
    fill(element, ...fresh) {
      if (!element.childNodes.length) element.append("");
      this.swap([...element.childNodes], ...fresh);
    }
    add(place, node) {
      place.after(node);
      this.undone.push(() => node.remove());
    }
    append(element, before, node) {
      element.insertBefore(node, before);
      this.undone.push(() => node.remove());
    }
    mark(element, name) {
      const had = element.hasAttribute("class");
      if (element.classList.contains(name)) return;
      element.classList.add(name);
      this.undone.push(() => {
        element.classList.remove(name);
        if (!had) element.removeAttribute("class");
      });
    }
    undo() {
      for (const one of this.undone.reverse()) one();
      this.undone = [];
    }
  }

  // --- one card ---------------------------------------------------------------------------------

  class OwnNumbers {
    constructor(fold) {
      this.fold = fold;
      this.card = fold.closest(".buildlog-card");
      this.block = this.card.id.replace(/^calc-/, "");
      this.planted = new Planted();
      this.fields = new Map();
      this.asked = "{}";
      this.opened = null;
      fold.addEventListener("toggle", () => { if (fold.open) this.open(); });
    }

    open() {
      this.opened = this.opened || this.begin();
      return this.opened;
    }

    async begin() {
      const bar = make("progress", { "aria-hidden": "true", value: 0, max: 1 });
      const line = make("p", { role: "status", class: "buildlog-yours-progress" }), text = span("");
      line.append(text, bar);
      const box = make("div", { class: "buildlog-yours-box" }, line);
      this.fold.append(box);
      const refuse = (words) => {
        const again = make("button", { type: "button" }, WORDS.again);
        again.addEventListener("click", () => {
          box.remove();
          this.opened = null;
          this.open();
        });
        box.replaceChildren(make("p", { role: "alert" }, words), again);
      };
      try {
        text.textContent = WORDS.loading(1, "…");
        await load(this.fold.dataset.own);
        this.made = taken.get(addressOf(this.fold.dataset.own));
        const { scripts } = this.made;
        bar.max = scripts.length + 1;
        for (const [at, name] of scripts.entries()) {
          bar.value = at + 1;
          text.textContent = WORDS.loading(at + 2, scripts.length + 1);
          await load(name);
        }
      } catch {
        return refuse(WORDS.missing);
      }
      bar.removeAttribute("value");
      text.textContent = WORDS.starting;
      await pause();
      try {
        await window.buildlogReady;
        this.marks = this.findMarks();
        this.first = this.ask({}, false);
        if (this.first.faults.length) throw new Error(this.first.faults[0].text);
      } catch (error) {
        console.error(error);
        return refuse(WORDS.broken);
      }
      const other = this.differing(this.first.shown);
      if (other) return refuse(WORDS.differs(other));
      box.replaceChildren(this.makeForm());
    }

    /** What card and figures would show; charts only for the units that the reader has, and if wanted. */
    ask(changes, withCharts) {
      const figures = this.marks.map((mark) => ({
        label: this.labelOf(mark), of: mark.dataset.of, case: mark.dataset.case || "",
        versus: mark.dataset.versus || "", versus_case: mark.dataset.versusCase || "",
        unit: mark.dataset.unit || "",
      }));
      const answer = window.buildlogAnswer(JSON.stringify(this.made.description),
        JSON.stringify(changes), JSON.stringify({ figures, systems: withCharts ? ["author", unitsOf()] : [] }));
      return JSON.parse(answer);
    }

    findMarks() {
      return [...document.querySelectorAll(".buildlog-mark[data-of]")].filter((mark) =>
        mark.dataset.of.startsWith(this.block + ".") && !("at" in mark.dataset));
    }
    labelOf(mark) {
      const label = mark.querySelector(".buildlog-figure");
      return (label.querySelector(".buildlog-own") || label).textContent;
    }

    // --- where things are ---

    cellsOf(anchor, cases) {
      const row = document.getElementById(anchor);
      return row && this.cellsIn(row, cases);
    }

    /** A row of a long list stands in the fold once more, beside its fellows. */
    repeated(anchor, cases) {
      const rows = [...this.card.querySelectorAll("[data-row]")].filter((row) => row.dataset.row === anchor);
      return rows.map((row) => this.cellsIn(row, cases));
    }

    cellsIn(row, cases) {
      if (row.tagName === "TD") return { row, cells: new Map([[cases[0], row]]), change: null };
      const all = [...row.cells].filter((cell) => cell.tagName === "TD");
      const cells = new Map(all.filter((cell) => "case" in cell.dataset).map((cell) => [cell.dataset.case, cell]));
      const change = all.find((cell) => cell.classList.contains("buildlog-change")) || null;
      if (!cells.size && cases.length === 1) cells.set(cases[0], all[0]);
      return { row, cells, change, forAll: cells.size ? null : all[0] };
    }

    /** The content of a case's cell: its value, and where that stands under it the change. */
    content(row, name, there) {
      const cell = row.cells[name], parts = [valueOf(cell, row)];
      if (cell && cell.change && !there.change && !there.forAll) {
        parts.push("\n", span("buildlog-below", ...changeOf(cell.change, row)));
      }
      return parts;
    }

    /** The first row where the browser's answer to no changes is not what the page shows; "" for none. */
    differing(shown) {
      for (const [anchor, row] of Object.entries(shown.rows)) {
        const there = this.cellsOf(anchor, shown.cases);
        if (!there) return row.label;
        const [first] = shown.cases;
        const cells = there.forAll ? new Map([[first, there.forAll]]) : there.cells;
        for (const [name, cell] of cells) {
          if ((row.cells[name] || {}).bent) continue;
          if (seen(make("i", {}, ...this.content(row, name, there))) !== seen(cell)) return row.label;
        }
      }
      return "";
    }

    // --- the form ---

    makeForm() {
      const { fields } = this.made.description;
      this.status = make("p", { role: "status", class: "buildlog-yours-status" });
      this.more = make("div");
      const form = make("form", { class: "buildlog-yours-form", autocomplete: "off", novalidate: true,
        "aria-label": say("Your own numbers:") + " " + seen(this.card.querySelector(".buildlog-title")) });
      form.append(make("p", { class: "buildlog-note-line" }, WORDS.intro));
      if (drawn(this.first.shown)) form.append(make("p", { class: "buildlog-note-line" }, WORDS.firstOrder));
      const cases = [...new Set(fields.map((field) => field.case))];
      for (const name of cases) {
        const group = make("fieldset", {});
        if (cases.length > 1) group.append(make("legend", {}, name || WORDS.allCases));
        const grid = make("div", { class: "buildlog-yours-fields" });
        grid.append(...this.makeFields(fields.filter((field) => field.case === name)));
        group.append(grid);
        form.append(group);
      }
      const link = make("button", { type: "button" }, WORDS.link);
      link.addEventListener("click", () => this.copyLink());
      const reset = make("button", { type: "button" }, WORDS.reset);
      reset.addEventListener("click", () => this.reset());
      this.link = make("p", { class: "buildlog-yours-link", hidden: true });
      form.append(this.more, this.status, make("p", { class: "buildlog-yours-buttons" }, link, reset), this.link);
      form.addEventListener("submit", (event) => { event.preventDefault(); this.compute(); });
      form.addEventListener("input", () => {
        clearTimeout(this.timer);
        this.timer = setTimeout(() => this.compute(), PAUSE);
      });
      form.addEventListener("change", () => this.compute());
      return form;
    }

    /** The fields one by one; the values of a list or a table together. */
    makeFields(fields) {
      const made = [];
      for (const [at, field] of fields.entries()) {
        const before = fields[at - 1];
        if (!Number.isInteger(field.row)) made.push(this.makeField(field));
        else if (!before || before.input !== field.input) {
          const rows = fields.filter((one) => one.input === field.input);
          made.push(this.makeRows(field, rows));
        }
      }
      return made;
    }

    makeRows(first, fields) {
      const box = make("fieldset", { class: "buildlog-yours-rows" }, make("legend", {}, sentence(first.label)));
      // One range is said once; where the columns have ranges of their own, beside each.
      const ranges = new Set(fields.map((one) => one.range)), one = ranges.size === 1 ? first.range : "";
      const about = [first.column ? "" : first.about, one].filter(Boolean).join("; ");
      if (about) box.append(make("p", { class: "buildlog-note-line" }, about));
      const named = new Map(fields.filter((one) => one.column === "name").map((one) => [one.row, one.written]));
      const grid = make("div", { class: "buildlog-yours-fields" });
      for (const field of fields) {
        if (field.column === "name") continue; // what its row goes by, and its figures with it
        const row = named.get(field.row) || String(field.row + 1);
        const label = [row, field.column.replace(/_/g, " ")].filter(Boolean).join(": ");
        const range = one ? "" : field.range;
        grid.append(this.makeField({ ...field, label, range, about: "", said: `${first.label}, ${label}` }));
      }
      box.append(grid);
      return box;
    }

    makeField(field) {
      const id = `yours-${this.block}-${this.fields.size + 1}`;
      const about = [field.about, field.range].filter(Boolean).join("; ");
      let control;
      if (field.choices && field.choices.length) {
        control = make("select", { id });
        for (const [value, words] of field.choices) control.add(new Option(words || value, value));
      } else if (field.written.includes("\n")) {
        control = make("textarea", { id, rows: Math.min(12, field.written.split("\n").length), spellcheck: "false" });
      } else {
        control = make("input", { id, type: "text", spellcheck: "false", autocomplete: "off" });
      }
      control.value = field.written;
      const fault = make("p", { id: id + "-fault", class: "buildlog-yours-fault", lang: english, hidden: true });
      const back = make("button", { type: "button", class: "buildlog-yours-back", hidden: true,
        "aria-label": `${WORDS.back} ${field.written}: ${field.said || field.label}` }, `${WORDS.back} ${field.written}`);
      back.addEventListener("click", () => {
        control.value = field.written;
        control.focus();
        this.compute();
      });
      const label = make("label", { for: id }, sentence(field.label));
      if (field.unit) label.append(" ", span("buildlog-unit", field.unit));
      const box = make("div", { class: "buildlog-yours-field" }, label, control, fault, back);
      const described = [id + "-fault"];
      if (about) {
        box.append(make("p", { id: id + "-about", class: "buildlog-note-line", lang: english }, about));
        described.push(id + "-about");
      }
      control.setAttribute("aria-describedby", described.join(" "));
      this.fields.set(field.id, { field, control, fault, back });
      return box;
    }

    // --- computing ---

    changes() {
      const found = {};
      for (const [id, { field, control, back }] of this.fields) {
        const typed = control.value.trim(), changed = typed !== field.written.trim();
        back.hidden = !changed;
        if (changed) found[id] = typed;
      }
      return found;
    }

    async compute(again = false) {
      clearTimeout(this.timer);
      const changes = this.changes(), asked = JSON.stringify(changes);
      if (asked === this.asked && !again) return;
      this.asked = asked;
      this.link.hidden = true;
      this.restore();
      remember();
      if (asked === "{}") return this.say(WORDS.authors);
      this.say(WORDS.computing);
      await pause();
      if (asked !== this.asked) return; // something else was typed meanwhile
      let answer;
      try {
        answer = this.ask(changes, true);
      } catch (error) {
        console.error(error);
        return this.say(WORDS.broken);
      }
      if (answer.faults.length) return this.showFaults(answer.faults);
      this.plant(answer.shown);
    }

    say(text) { this.status.textContent = text; }

    showFaults(faults) {
      const apart = [];
      for (const { field, text } of faults) {
        const known = this.fields.get(field);
        if (!known) { apart.push(text); continue; }
        known.fault.textContent = [known.fault.textContent, text].filter(Boolean).join(" ");
        known.fault.hidden = false;
        known.control.setAttribute("aria-invalid", "true");
      }
      this.say([WORDS.faulty(Math.max(1, faults.length - apart.length)), ...apart].join(" "));
    }

    reset() {
      for (const { field, control } of this.fields.values()) control.value = field.written;
      this.asked = "";
      return this.compute();
    }

    restore() {
      this.planted.undo();
      this.more.replaceChildren();
      for (const { control, fault } of this.fields.values()) {
        control.removeAttribute("aria-invalid");
        fault.textContent = "";
        fault.hidden = true;
      }
    }

    plant(shown) {
      const before = this.first.shown, told = [], extra = [];
      let count = 0, all = 0;
      for (const [anchor, row] of Object.entries(shown.rows)) {
        const there = this.cellsOf(anchor, before.cases), old = before.rows[anchor];
        if (!there || !old) { extra.push(row); continue; }
        for (const name of shown.cases) {
          all += 1;
          if (same(alone(row.cells[name]), alone(old.cells[name]))) continue;
          count += 1;
          const named = globalThis.buildlogRow?.(there.row) || row.label;
          const what = there.cells.size > 1 || there.forAll ? `${named}, ${name}` : named;
          told.push({ row: there.row, text: WORDS.instead(what, inWords(row.cells[name], row),
            inWords(old.cells[name], old)) });
        }
        for (const one of [there, ...this.repeated(anchor, before.cases)]) {
          this.plantRow(shown.cases, row, old, one);
        }
      }
      for (const [anchor, old] of Object.entries(before.rows)) {
        if (anchor in shown.rows) continue;
        const there = this.cellsOf(anchor, before.cases);
        for (const one of [there, ...this.repeated(anchor, before.cases)]) {
          this.plantRow(before.cases, { ...old, cells: {} }, old, one);
        }
        count += 1;
      }
      this.plantWords(shown, before);
      this.plantRemarks(shown, before);
      this.plantCharts(shown);
      const figures = this.plantFigures(shown, before);
      this.listMore(extra, shown.cases);
      this.markCard();
      const rested = new Set(this.marks.map((mark) => (mark.querySelector("a.buildlog-figure") || {}).hash));
      const rank = ({ row }) => (rested.has("#" + row.id) ? 0 : 2) + (row.checkVisibility() ? 0 : 1);
      told.sort((one, other) => rank(one) - rank(other));
      let text = count ? WORDS.changed(count, all) : extra.length ? "" : WORDS.same;
      if (figures) text += WORDS.figures(figures);
      if (extra.length) text += WORDS.added(extra.length);
      if (drawn(shown) && !drawn(before)) text += " " + WORDS.firstOrder;
      this.say(text + told.slice(0, MOST_TOLD).map((one) => one.text).join(""));
    }

    plantRow(cases, row, old, there) {
      if (there.forAll) {
        if (cases.every((name) => same(row.cells[name], old.cells[name]))) return;
        const lines = cases.map((name) => span("buildlog-below", make("i", {}, name), " ", valueOf(row.cells[name], row)));
        const alike = cases.every((name) => (row.cells[name] || {}).number === (row.cells[cases[0]] || {}).number);
        return this.planted.fill(there.forAll, ...(alike ? [valueOf(row.cells[cases[0]], row)] : lines));
      }
      for (const [name, cell] of there.cells) {
        const now = this.content(row, name, there), then = this.content(old, name, there);
        if (seen(make("i", {}, ...now)) !== seen(make("i", {}, ...then))) this.planted.fill(cell, ...now);
      }
      const last = cases[cases.length - 1];
      if (!there.change) return;
      const now = (row.cells[last] || {}).change, then = (old.cells[last] || {}).change;
      if (!same(now, then)) this.planted.fill(there.change, ...changeOf(now, row));
    }

    plantWords(shown, before) {
      for (const anchor of new Set([...Object.keys(shown.words), ...Object.keys(before.words)])) {
        const texts = shown.words[anchor] || [], place = document.getElementById(anchor);
        if (!place || same(texts, before.words[anchor])) continue;
        const nodes = [...place.childNodes].slice(1), fresh = [" "];
        texts.forEach(([name, text], at) => {
          if (at) fresh.push("; ");
          if (name) fresh.push(make("i", {}, name), " ");
          fresh.push(text);
        });
        if (!texts.length) fresh.push("–");
        this.planted.swap(nodes, ...fresh);
      }
    }

    plantRemarks(shown, before) {
      if (same(shown.remarks, before.remarks)) return;
      const old = [...this.card.querySelectorAll(".buildlog-remark")];
      for (const one of old) this.planted.mark(one, "buildlog-authors-only");
      let place = old[old.length - 1] || this.card.querySelector(".buildlog-head");
      for (const [text, cases] of shown.remarks) {
        const remark = make("p", { class: "buildlog-remark buildlog-mine-only", lang: english });
        if (cases.length) remark.append(make("i", {}, cases.join(", ")), " ");
        remark.append(text);
        this.planted.add(place, remark);
        place = remark;
      }
    }

    plantCharts(shown) {
      for (const caption of this.card.querySelectorAll(".buildlog-pattern figcaption"))
        this.planted.append(caption, caption.firstChild, make("strong", { class: "buildlog-mine-only" }, WORDS.pattern + " "));
      const figures = [...this.card.querySelectorAll(".buildlog-chart:not(.buildlog-pattern)")];
      if (figures.length !== shown.charts.length) return;
      shown.charts.forEach((chart, at) => {
        const figure = figures[at], caption = figure.querySelector("figcaption");
        if (!chart.views) {
          this.planted.fill(caption, `${WORDS.drawn} ${chart.refusal}`);
          for (const svg of figure.querySelectorAll("svg")) this.planted.mark(svg, "buildlog-authors-only");
          return;
        }
        this.planted.fill(caption, `${chart.title}. ${chart.description}`);
        const view = chart.views[chart.views.length - 1]; // in the reader's units, where they make a difference
        for (const svg of figure.querySelectorAll(".buildlog-drawn svg")) {
          this.planted.mark(svg, "buildlog-authors-only");
          this.planted.add(svg, draw(view, chart, svg));
        }
      });
    }

    plantFigures(shown, before) {
      let count = 0;
      this.marks.forEach((mark, at) => {
        const now = shown.figures[at], then = before.figures[at];
        if (!then || same(now, then)) return;
        count += 1;
        const would = span("buildlog-mine-only buildlog-would", ` ${WORDS.yours} `);
        if (!now) would.append(WORDS.none);
        else {
          let { text } = now;
          const way = now.way && then.way && now.way !== then.way && !text.endsWith(now.way) ? " " + now.way : "";
          if (now.other) {
            would.append(span("buildlog-both buildlog-in-" + now.system, ...pair(text + way, now.other + way)));
          } else would.append(text + way);
          if (then.holds && !now.holds && !way) would.append(", " + WORDS.noLonger);
        }
        this.planted.append(mark, mark.querySelector(".buildlog-note"), would);
      });
      return count;
    }

    /** Rows that came with a reader's numbers stand in the form: the author's card has no place for them. */
    listMore(rows, cases) {
      if (!rows.length) return;
      const head = make("tr", {}, make("th", { scope: "col" }, say("Result")), ...cases.map((name) =>
        make("th", { scope: "col", class: "buildlog-value" }, name || say("result"))));
      const body = rows.map((row) => make("tr", {}, make("th", { scope: "row", lang: english }, row.label, " ",
        span("buildlog-unit", row.unit)), ...cases.map((name) =>
        make("td", { class: "buildlog-value" }, valueOf(row.cells[name], row)))));
      this.more.append(make("div", { class: "buildlog-scroll", role: "group", tabindex: "0", "aria-label": WORDS.more },
        make("table", { class: "buildlog-table" }, make("caption", {}, WORDS.more), make("thead", {}, head),
          make("tbody", {}, ...body))));
    }

    markCard() {
      this.planted.mark(this.card, "buildlog-changed");
      const back = make("button", { type: "button" }, WORDS.reset);
      back.addEventListener("click", () => {
        this.fold.open = true;
        this.fold.querySelector("summary").focus();
        this.reset();
      });
      const banner = make("p", { class: "buildlog-mine-only buildlog-yours-banner" },
        make("strong", {}, WORDS.banner), " ", back);
      this.planted.add(this.card.querySelector(".buildlog-head"), banner);
    }

    // --- the link ---

    copyLink() {
      const address = addressWith([this]);
      this.link.hidden = false;
      const shown = make("input", { type: "text", readonly: true, "aria-label": WORDS.byHand });
      shown.value = address;
      this.link.replaceChildren(shown);
      globalThis.buildlogCopy(address).then(() => this.say(WORDS.copied), () => { shown.focus(); shown.select(); });
    }

    pairs() {
      return Object.entries(this.fields.size ? this.changes() : {});
    }

    async take(wanted) {
      this.fold.open = true;
      await this.open();
      if (!this.fields.size) return;
      const unknown = [], said = new Set();
      for (const { field, control } of this.fields.values()) control.value = field.written;
      for (const [id, text] of wanted) {
        const known = !said.has(id) && this.fields.get(id);
        said.add(id);
        if (known) known.control.value = text;
        else unknown.push(id);
      }
      await this.compute();
      if (unknown.length) this.say(this.status.textContent + " " + WORDS.unknown(unknown.join(", ")));
      this.card.scrollIntoView({ block: "start" });
    }
  }

  const TAGS = new Set(["path", "text"]);
  function draw(view, chart, like) {
    const space = like.namespaceURI;
    const svg = document.createElementNS(space, "svg");
    svg.setAttribute("viewBox", view.box);
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", `${WORDS.banner} ${chart.title}`);
    svg.setAttribute("class", "buildlog-drawing buildlog-mine-only");
    svg.setAttribute("style", like.getAttribute("style") || "");
    for (const [tag, attributes, text] of view.shapes) {
      if (!TAGS.has(tag)) continue;
      const shape = document.createElementNS(space, tag);
      for (const [name, value] of Object.entries(attributes)) {
        if (name === "fill" || name === "stroke") shape.style.setProperty(name, value);
        else shape.setAttribute(name, value);
      }
      shape.textContent = text;
      svg.append(shape);
    }
    return svg;
  }

  // --- the address --------------------------------------------------------------------------------

  const KEY = "yours";
  let cards = [];

  function addressWith(some) {
    const said = new URLSearchParams();
    for (const one of some) {
      const pairs = one.pairs();
      if (!pairs.length) continue;
      said.append(KEY, one.block);
      for (const [id, text] of pairs) said.append(id, text);
    }
    return location.href.split("#")[0] + (said.size ? "#" + said : "");
  }
  function remember() {
    if (!location.hash.startsWith(`#${KEY}=`) && !cards.some((card) => card.pairs().length)) return;
    try { history.replaceState(history.state, "", addressWith(cards)); } catch { /* the address stays */ }
  }
  async function follow() {
    if (!location.hash.startsWith(`#${KEY}=`)) return;
    const wanted = new Map();
    let block = "";
    for (const [name, text] of new URLSearchParams(location.hash.slice(1))) {
      if (name === KEY) wanted.set(block = text, wanted.get(text) || []);
      else wanted.get(block).push([name, text]);
    }
    const here = cards.filter((card) => wanted.has(card.block));
    sayStrangers([...wanted.keys()].filter((name) => !here.some((card) => card.block === name)));
    for (const card of here) await card.take(wanted.get(card.block));
  }
  function sayStrangers(names) {
    document.querySelector(".buildlog-yours-unknown")?.remove();
    if (!names.length) return;
    const said = make("p", { role: "status", class: "buildlog-yours-unknown" }, WORDS.unknown(names.join(", ")));
    (document.querySelector("article, main") || document.body).prepend(said);
  }

  // A chart was drawn for the units that the reader had.
  new MutationObserver(() => {
    for (const card of cards) if (card.fold.isConnected && card.pairs().length) card.compute(true);
  }).observe(root, { attributeFilter: ["data-buildlog-units"] });

  own.begin = () => {
    WORDS = words();
    english = say("Result") === "Result" ? "" : "en";
    cards = [...document.querySelectorAll("details.buildlog-yours[data-own]")].map((fold) => new OwnNumbers(fold));
    follow();
  };
  addEventListener("hashchange", follow);
  root.dataset.buildlogYours = "";
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", own.begin);
  else own.begin();
})();
