(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const SVG = "http://www.w3.org/2000/svg";
  const marks = Array.from(document.querySelectorAll(".digit[data-digit]"));
  const columns = Array.from(document.querySelectorAll("button[data-figure]"));
  const panel = document.getElementById("panel");
  const pages = document.getElementById("pages");
  const taken = new Map(); // figure → index of its alternative
  const chosen = new Map(); // digit → finger
  const about = document.getElementById("about");
  let current = null;
  let lit = []; // marks that stand out by now

  function element(name, attributes, ...children) {
    const made = attributes && attributes.svg ? document.createElementNS(SVG, name) : document.createElement(name);
    for (const [key, value] of Object.entries(attributes || {})) {
      if (key !== "svg") made.setAttribute(key, value);
    }
    made.append(...children);
    return made;
  }
  const drawn = (name, attributes, ...children) => element(name, { svg: true, ...attributes }, ...children);
  const signed = (cost) => (cost >= 0 ? "+" : "−") + Math.abs(cost);
  const millimetres = (length) => Math.round(length / 1000);

  // Which digit has the focus: one stop for Tab in the music, and one in each strip.
  function rove(group, moved) {
    group.forEach((one, index) => {
      one.setAttribute("tabindex", index ? "-1" : "0");
      one.addEventListener("keydown", (event) => {
        const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
        const to = event.key === "Home" ? 0 : event.key === "End" ? group.length - 1 : step ? index + step : -1;
        if (event.key === "Enter" || event.key === " ") {
          event.preventDefault();
          moved(one);
        } else if (group[to]) {
          event.preventDefault();
          focusOn(group, group[to]);
        }
      });
    });
  }
  function enter(group, one) {
    group.forEach((other) => other.setAttribute("tabindex", other === one ? "0" : "-1"));
  }
  function focusOn(group, one) {
    enter(group, one);
    one.focus({ preventScroll: group === marks });
    if (group === marks) bring(one);
  }
  // Into view, what stands in the music: not every browser scrolls to a part of a drawing, or clear of the panel. Once more
  // when a page that was out of sight has got its height.
  function bring(mark) {
    scrollOnce(mark);
    requestAnimationFrame(() => scrollOnce(mark));
  }
  function scrollOnce(mark) {
    const [box, frame] = [mark.getBoundingClientRect(), pages.getBoundingClientRect()];
    if (box.left < frame.left || box.right > frame.right) pages.scrollLeft += (box.left + box.right - frame.left - frame.right) / 2;
    const over = getComputedStyle(panel).position === "fixed" ? panel.getBoundingClientRect().top : innerHeight;
    const bottom = over > 0 ? Math.min(over, innerHeight) : innerHeight;
    if (box.top < 0 || box.bottom > bottom) window.scrollBy(0, (box.top + box.bottom - bottom) / 2);
  }
  rove(marks, open);
  for (const strip of document.querySelectorAll(".strip")) {
    for (const hand of ["right", "left"]) rove(Array.from(strip.querySelectorAll("button." + hand)), toFigure);
  }
  columns.forEach((column) => column.addEventListener("click", () => toFigure(column)));
  function toFigure(column) {
    const number = Number(column.dataset.figure);
    const own = (one) => data.digits[one.dataset.digit].figures.includes(number);
    const mark = marks.find((one) => Number(one.dataset.figure) === number) || marks.find(own);
    if (mark) reach(mark, number);
  }
  function reach(mark, number) {
    open(mark, number);
    focusOn(marks, mark);
  }
  panel.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && current) back();
  });
  document.getElementById("close").addEventListener("click", back);
  function back() {
    panel.classList.remove("opened");
    document.documentElement.classList.remove("opened-panel");
    focusOn(marks, current);
  }
  for (const link of document.querySelectorAll('a[href^="#found-"]')) {
    link.addEventListener("click", (event) => {
      const flag = document.getElementById(link.getAttribute("href").slice(1));
      event.preventDefault();
      const digit = nearest(marks, ...centre(flag), Infinity);
      if (digit) enter(marks, digit); // Tab goes on from here
      flag.focus({ preventScroll: true });
      bring(flag);
    });
  }

  // A finger is wider than a digit: a tap takes the nearest one, and the panel has those that it may have been meant for.
  const FINGER = 24; // px, as published: WCAG 2.2, success criterion 2.5.8
  function centre(mark) {
    const box = mark.getBoundingClientRect();
    return [box.left + box.width / 2, box.top + box.height / 2];
  }
  function nearest(all, x, y, least) {
    let best = null;
    for (const mark of all) {
      const box = mark.getBoundingClientRect();
      const far = Math.hypot(Math.max(box.left - x, 0, x - box.right), Math.max(box.top - y, 0, y - box.bottom));
      if (far < least) [best, least] = [mark, far];
    }
    return best;
  }
  function closeTo(mark) {
    const [x, y] = centre(mark);
    const sheet = mark.closest(".sheet");
    return marks.filter((other) => {
      if (other === mark || !sheet.contains(other)) return false;
      const [across, down] = centre(other);
      return Math.hypot(across - x, down - y) < FINGER;
    });
  }
  for (const sheet of document.querySelectorAll(".sheet svg")) {
    const own = marks.filter((mark) => sheet.contains(mark));
    sheet.addEventListener("click", (event) => {
      // a click that no pointer made, as a screen reader's, is at no place
      const best = event.detail === 0 ? event.target.closest(".digit") : nearest(own, event.clientX, event.clientY, FINGER - 2);
      if (best) {
        open(best, undefined, event.detail > 0);
        focusOn(marks, best);
      }
    });
  }

  const sizes = [100, 150, 200, 300, 400];
  const steps = [["smaller", -1], ["larger", 1]].map(([name, step]) => [document.getElementById(name), step]);
  for (const [button, step] of steps) {
    button.addEventListener("click", () => {
      const at = sizes.indexOf(Number(pages.dataset.size || sizes[0])) + step;
      if (!sizes[at]) return;
      pages.dataset.size = sizes[at];
      steps.forEach(([other, way]) => other.setAttribute("aria-disabled", String(!sizes[at + way])));
      document.getElementById("size").textContent = sizes[at] + " percent";
      if (current) bring(current);
    });
  }
  document.querySelector(".size").hidden = false;

  // A digit, in the figure that it stands in here or in another one that its note sounds in. One that was pointed at has
  // those with it that a finger can't tell from it.
  function open(mark, wanted, pointed) {
    const number = wanted === undefined ? mark.dataset.figure : String(wanted);
    for (const other of lit) {
      other.classList.remove("here", "same");
      other.setAttribute("aria-pressed", "false");
    }
    lit = marks.filter((other) => other === mark || (number !== undefined && other.dataset.figure === number));
    for (const other of lit) other.classList.add(other === mark ? "here" : "same");
    mark.setAttribute("aria-pressed", "true");
    current = mark;
    panel.classList.add("opened");
    document.documentElement.classList.add("opened-panel");
    document.getElementById("close").hidden = false;
    show(mark, number);
    if (pointed) about.firstElementChild.nextElementSibling.after(...near(mark));
    panel.scrollTop = 0;
    document.getElementById("said").textContent = summary(mark, number);
  }

  function summary(mark, number) {
    if (number === undefined) return mark.getAttribute("aria-label");
    const figure = data.figures[number];
    const others = (figure.others || []).length;
    return mark.getAttribute("aria-label") + ". Its placing: " + figure.line + ". " + others + " other fingerings in the panel.";
  }

  function show(mark, text) {
    const digit = data.digits[mark.dataset.digit];
    const place = data.files[digit.file].name + ":" + digit.line + ":" + digit.column;
    about.replaceChildren(element("p", {}, element("strong", {}, mark.getAttribute("aria-label"))), element("p", {}, element("small", {}, place)));
    if (text === undefined) {
      about.append(element("p", {}, "It stands in the source as it is; nothing was planned here."), neighbours(mark));
      return;
    }
    const number = Number(text);
    const figure = data.figures[number];
    if (digit.figures.length > 1) about.append(soundings(mark, digit, number));
    const other = taken.has(number) ? figure.others[taken.get(number)] : null;
    const fingers = other ? other.fingers : figure.notes.map((note) => note[2]);
    const sets = other ? other.sets : figure.sets;
    sets.forEach((notes, index) => {
      if (sets.length > 1) about.append(element("h3", {}, "Placing " + (index + 1) + " of " + sets.length));
      const apart = spread(figure, fingers, notes);
      about.append(hand(figure, fingers, notes, apart), pairs(apart));
    });
    for (const limit of figure.limits) about.append(element("p", { class: "trouble" }, limit));
    about.append(...reasons(figure), choice(number, figure));
    about.append(neighbours(mark));
  }

  function named(number) {
    const figure = data.figures[number];
    return (figure.bar === null ? "" : "bar " + figure.bar + ", ") + figure.hand + " hand: " + (taken.has(number) ? figure.others[taken.get(number)] : figure).line;
  }

  function soundings(mark, digit, number) {
    const box = element("div", { role: "group", class: "sounds", "aria-label": "Where it sounds" }, element("p", {}, "This note sounds " + digit.figures.length + " times, with one digit. Show it in"));
    for (const one of digit.figures) {
      const button = element("button", { type: "button", "aria-pressed": String(one === number) }, named(one));
      button.addEventListener("click", () => {
        open(mark, one);
        const again = about.querySelector('.sounds button[aria-pressed="true"]');
        if (again) again.focus();
      });
      box.append(button);
    }
    return box;
  }

  function toMark(mark, pointed) {
    enter(marks, mark);
    open(mark, undefined, pointed);
    bring(mark);
    document.getElementById("panel-title").focus({ preventScroll: true });
  }

  // The digits that are too close to this one for a finger.
  function near(mark) {
    const found = closeTo(mark);
    if (!found.length) return [];
    const box = element("div", { role: "group", class: "close", "aria-label": "Digits close to it" }, "Close to it:");
    for (const other of found) {
      const name = other.getAttribute("aria-label");
      const button = element("button", { type: "button", "aria-label": name }, name.split(", ").find((part) => part.includes(": ")) || name);
      button.addEventListener("click", () => toMark(other, true));
      box.append(button);
    }
    return [box];
  }

  function neighbours(mark) {
    const row = element("p", {});
    const at = marks.indexOf(mark);
    for (const [text, to] of [["Previous digit", at - 1], ["Next digit", at + 1]]) {
      if (marks[to]) {
        const button = element("button", { type: "button" }, text);
        button.addEventListener("click", () => toMark(marks[to]));
        row.append(button);
      }
    }
    return row;
  }

  // Each pair of fingers of a set: how far they are apart, what is easy and what this hand reaches, in µm.
  function spread(figure, fingers, notes) {
    const on = new Map();
    const struck = notes.map((index) => [figure.notes[index][1], fingers[index]]).filter((one) => one[1]);
    for (const [string, finger] of struck.sort((a, b) => a[0] - b[0] || a[1] - b[1])) on.set(string, finger);
    const found = [];
    const all = Array.from(on);
    all.forEach(([low, finger], index) => {
      for (const [high, other] of all.slice(index + 1)) {
        if (finger === other) continue;
        const [easy, greatest] = data.spreads[String(Math.min(finger, other)) + Math.max(finger, other)];
        const apart = data.strings[high - data.lowest][1] - data.strings[low - data.lowest][1];
        const words = data.intervals[high - low] + " with " + finger + " and " + other + ": " + millimetres(apart) + " of " + millimetres(greatest) + " mm";
        found.push({ fingers: [finger, other], strings: [low, high], words, percent: Math.round((100 * apart) / greatest), apart, easy, greatest });
      }
    });
    return found;
  }

  // The strings around the placing seen from the player's side: the lowest on the left, the thumb highest.
  function hand(figure, fingers, set, apart) {
    const numbers = figure.notes.map((note) => note[1]);
    const low = Math.max(Math.min(...numbers) - 1, data.lowest);
    const high = Math.min(Math.max(...numbers) + 1, data.lowest + data.strings.length - 1);
    const strings = [];
    for (let string = low; string <= high; string += 1) strings.push(string);
    const at = (string) => (data.strings[string - data.lowest] || [string, 0])[1];
    const scale = 300 / Math.max(at(high) - at(low), 60000);
    const x = (string) => 20 + (at(string) - at(low)) * scale;
    const words = Array.from(new Set(set.map((index) => figure.notes[index][0] + " with " + (fingers[index] || "no finger")))).join(", ");
    const widest = apart.reduce((most, pair) => (!most || pair.apart / pair.greatest > most.apart / most.greatest ? pair : most), null);
    const whole = drawn("svg", { viewBox: "0 0 340 190", role: "img", "aria-label": "The " + figure.hand + " hand on its strings: " + words + (widest ? ". Widest: " + widest.words : "") });
    const picture = drawn("g", { "aria-hidden": "true" }); // its name says it all
    whole.append(picture);
    for (const string of strings) {
      const name = data.strings[string - data.lowest][0];
      const letter = name[0].toLowerCase();
      picture.append(drawn("line", { class: "string " + (letter === "c" || letter === "f" ? letter : ""), x1: x(string), x2: x(string), y1: 16, y2: 150 }));
      if (scale * 15000 > 16 || letter === "c" || letter === "f") picture.append(drawn("text", { x: x(string), y: 11 }, name));
    }
    const tips = new Map();
    for (const index of set) {
      const [string, finger] = [figure.notes[index][1], fingers[index]];
      if (finger) tips.set(string + ":" + finger, [x(string), 14 + 20 * finger + (finger === 1 ? 0 : 6), finger]);
    }
    const ordered = Array.from(tips.values()).sort((a, b) => a[2] - b[2]);
    const palm = [ordered.reduce((sum, tip) => sum + tip[0], 0) / Math.max(ordered.length, 1), 146];
    for (const tip of ordered) picture.append(drawn("path", { class: "hand", d: "M" + palm.join(" ") + "L" + tip[0] + " " + tip[1] }));
    for (const tip of ordered) {
      picture.append(drawn("circle", { class: "tip", cx: tip[0], cy: tip[1], r: 10 }));
      picture.append(drawn("text", { class: "tip-number", x: tip[0], y: tip[1] + 5 }, String(tip[2])));
    }
    if (ordered.length > 1 && widest) {
      const ends = widest.strings.map(x);
      picture.append(drawn("path", { class: "span", d: "M" + ends[0] + " 158v8H" + ends[1] + "v-8" }));
      picture.append(drawn("text", { x: Math.min(Math.max((ends[0] + ends[1]) / 2, 110), 230), y: 183 }, widest.fingers[1] + " to " + widest.fingers[0] + ": " + millimetres(widest.apart) + " mm of " + millimetres(widest.greatest) + " mm (" + widest.percent + "%)"));
    }
    return whole;
  }

  function table(title, heads, rows, numeric) {
    const cell = (tag, text, index, more) => element(tag, { ...(numeric.includes(index) ? { class: "number" } : {}), ...more }, text);
    const head = element("tr", {}, ...heads.map((text, index) => cell("th", text, index, { scope: "col" })));
    return element("table", {}, element("caption", {}, title), element("thead", {}, head), element("tbody", {}, ...rows.map((row) => element("tr", {}, ...row.map((text, index) => (index ? cell("td", text, index, {}) : cell("th", text, index, { scope: "row" })))))));
  }

  function pairs(apart) {
    if (!apart.length) return element("p", {}, "One string: no spread.");
    const rows = apart.map((pair) => [pair.fingers[1] + " to " + pair.fingers[0], millimetres(pair.apart) + " mm", millimetres(pair.easy) + " mm", millimetres(pair.greatest) + " mm"]);
    return table("How far the fingers are apart", ["Fingers", "Apart", "Easy to", "Reach"], rows, [1, 2, 3]);
  }

  function reasons(figure) {
    const title = element("h3", {}, "What counts against the planned one");
    if (!figure.reasons.length) return [title, element("p", {}, "Nothing: the trade's own shape.")];
    return [title, table("In thousandths; a lower sum is better", ["Rule", "Source", "Cost"], figure.reasons.map(([rule, text, cost]) => [text, data.sources[rule], String(cost)]), [2])];
  }

  function choice(number, figure) {
    const box = element("fieldset", {}, element("legend", {}, "Fingering of this placing"));
    const add = (value, text) => {
      const input = element("input", { type: "radio", name: "fingering", value: String(value) });
      input.checked = (taken.has(number) ? taken.get(number) : -1) === value;
      input.addEventListener("change", () => take(number, value));
      box.append(element("label", {}, input, " " + text));
    };
    add(-1, figure.line + " (as planned)");
    (figure.others || []).forEach((other, index) => {
      const why = other.difference.slice(0, 3).map(([rule, cost]) => rule + " " + signed(cost)).join(", ");
      const away = other.elsewhere ? "; changes " + other.elsewhere + " more elsewhere" : "";
      const found = other.proven ? "" : "; best found, not proven";
      add(index, other.line + " (" + signed(other.more) + ": " + why + away + found + ")");
    });
    if (!figure.others) box.append(element("p", {}, "Too much music hangs together here to look for others."));
    else if (!figure.others.length) box.append(element("p", {}, "There is no other fingering."));
    return box;
  }

  function take(number, value) {
    taken.delete(number);
    const given = value < 0 ? new Map() : wanted(number, value);
    let dropped = 0;
    for (const [figure, index] of Array.from(taken)) {
      if (Array.from(wanted(figure, index)).some(([digit, finger]) => (given.get(digit) || finger) !== finger)) {
        taken.delete(figure);
        dropped += 1;
      }
    }
    if (value >= 0) taken.set(number, value);
    chosen.clear();
    for (const [figure, index] of taken) wanted(figure, index).forEach((finger, digit) => chosen.set(digit, finger));
    renew(dropped);
    const focused = document.activeElement && document.activeElement.value;
    show(current, String(number));
    const again = about.querySelector('input[value="' + focused + '"]');
    if (again) again.focus();
  }

  // The digits of a figure with one of its alternatives. Notes with a locked digit have none to choose.
  function wanted(number, index) {
    const figure = data.figures[number];
    const found = new Map();
    figure.notes.forEach((note, at) => {
      const finger = figure.others[index].fingers[at];
      if (note[3] !== null && finger) found.set(note[3], finger);
    });
    return found;
  }

  function renew(dropped) {
    for (const mark of marks) {
      const finger = chosen.get(Number(mark.dataset.digit));
      const text = mark.querySelector("text");
      const changes = finger !== undefined && String(finger) !== data.digits[mark.dataset.digit].text;
      mark.classList.toggle("chosen", finger !== undefined);
      text.textContent = changes ? String(finger) : "";
      text.toggleAttribute("hidden", !changes);
      mark.classList.toggle("changed", changes);
      const label = mark.getAttribute("aria-label").replace(/; chosen: .*$/, "");
      mark.setAttribute("aria-label", finger === undefined ? label : label + "; chosen: " + finger);
    }
    const many = taken.size === 1 ? "1 placing" : taken.size + " placings";
    document.getElementById("count").textContent = taken.size ? many + ", " + chosen.size + " digits." : "None yet.";
    if (dropped) document.getElementById("count").append(" An earlier choice for the same notes is taken back: a note has one digit.");
    const list = document.getElementById("chosen");
    list.replaceChildren();
    for (const [number, index] of taken) {
      const figure = data.figures[number];
      const button = element("button", { type: "button" }, "Show");
      button.addEventListener("click", () => toFigure({ dataset: { figure: number } }));
      const bar = figure.bar === null ? "" : "Bar " + figure.bar + ", ";
      list.append(element("li", {}, bar + figure.hand + " hand: " + figure.others[index].line + " in place of " + figure.line + " ", button));
    }
    document.getElementById("choices").classList.toggle("empty", !chosen.size);
    document.getElementById("patch").hidden = !chosen.size;
    document.getElementById("edit").value = edits();
    document.getElementById("bytes").hidden = !/[\r\ud800-\udfff]/.test(edits().replace(/[\ud800-\udbff][\udc00-\udfff]/g, ""));
    document.getElementById("locks").value = locks();
  }

  function byFile() {
    const found = new Map();
    for (const [index, finger] of Array.from(chosen).sort((a, b) => a[0] - b[0])) {
      const digit = data.digits[index];
      if (!found.has(digit.file)) found.set(digit.file, []);
      found.get(digit.file).push({ ...digit, finger });
    }
    return Array.from(found).sort((a, b) => a[0] - b[0]);
  }

  const edits = () => asPatch.diff(data.files, byFile());

  function locks() {
    if (!chosen.size) return "";
    const files = byFile().map(([file, digits]) => ({
      name: data.files[file].name,
      sha256: data.files[file].sha256,
      digits: digits.sort((a, b) => a.line - b.line || a.column - b.column).map(({ line, column, finger }) => ({ line, column, finger })),
    }));
    return JSON.stringify({ ...data.locks, files }, null, 1) + "\n";
  }

  for (const button of document.querySelectorAll("button[data-copy]")) {
    const text = button.textContent;
    button.addEventListener("click", async () => {
      const area = document.getElementById(button.dataset.copy);
      area.select();
      try {
        await navigator.clipboard.writeText(button.dataset.copy === "edit" ? edits() : locks());
      } catch (error) {
        document.execCommand("copy");
      }
      button.textContent = "Copied";
      setTimeout(() => (button.textContent = text), 1500);
    });
  }
  const stem = document.title.replace(/^Proof of /, "").split("/").pop().replace(/\.[^.]*$/, "");
  function save(name, blob) {
    const link = element("a", { download: stem + name });
    link.href = URL.createObjectURL(blob);
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }
  document.getElementById("save").addEventListener("click", () => save("-locks.json", new Blob([locks()], { type: "application/json" })));
  document.getElementById("save-edit").addEventListener("click", () => save("-choices.patch", asPatch.bytes(edits())));
})();
