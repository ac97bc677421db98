"use strict";
// What was chosen as a patch, and text as the bytes of a file.
const asPatch = (function () {
  // A unified diff. Lines end in LF alone here; a CR before it is part of its line.
  // `chosen` are the digits of each file, by its index.
  function diff(files, chosen) {
    let text = "";
    for (const [index, some] of chosen) {
      const file = files[index];
      const digits = behind(some);
      text += "--- " + quoted(file.name) + "\n+++ " + quoted(file.name) + "\n";
      const lines = Array.from(new Set(digits.map((digit) => digit.into))).sort((a, b) => a - b);
      while (lines.length) {
        const group = [lines.shift()];
        while (lines.length && lines[0] - group[group.length - 1] <= 6) group.push(lines.shift());
        text += hunk(file, group, digits);
      }
    }
    return text;
  }

  // Digits of a chord that shall be a column go behind it, from the heads outward, if all of them are there.
  function behind(digits) {
    const stacks = new Map();
    for (const digit of digits) {
      const where = digit.stack && digit.stack.slice(0, 2).join(":");
      if (where) stacks.set(where, (stacks.get(where) || 0) + 1);
    }
    return digits.map((digit) => {
      if (!digit.stack) return digit;
      const [into, at, rank, size] = digit.stack;
      return stacks.get(into + ":" + at) === size ? { ...digit, into, at, rank } : digit;
    });
  }

  function hunk(file, changed, digits) {
    const first = Math.max(changed[0] - 3, 1);
    const last = Math.min(changed[changed.length - 1] + 3, file.last);
    const range = first + (last > first ? "," + (last - first + 1) : "");
    let text = "@@ -" + range + " +" + range + " @@\n";
    let [gone, come] = ["", ""];
    const put = (sign, content, line) => sign + content + (file.open && line === file.last ? "\n\\ No newline at end of file\n" : "\n");
    for (let line = first; line <= last; line += 1) {
      const old = file.lines[line];
      if (changed.includes(line)) {
        gone += put("-", old, line);
        come += put("+", edited(old, digits.filter((digit) => digit.into === line)), line);
      } else {
        text += gone + come + put(" ", old, line);
        gone = come = "";
      }
    }
    return text + gone + come;
  }

  function edited(line, digits) {
    const characters = Array.from(line);
    for (const digit of digits.sort((a, b) => b.at - a.at || b.rank - a.rank)) characters.splice(digit.at, 0, digit.side + digit.finger);
    return characters.join("");
  }

  // Names as patch and git read them: after one with a space stands a tab, one with a quote is written as in C.
  function quoted(name) {
    if (/["\\\u0000-\u001f]/.test(name)) {
      return '"' + name.replace(/["\\]/g, "\\$&").replace(/[\u0000-\u001f]/g, (one) => "\\" + one.charCodeAt(0).toString(8).padStart(3, "0")) + '"';
    }
    return /\s/.test(name) ? name + "\t" : name;
  }

  // Text as the bytes that it was read from: what was no UTF-8 came here as half a surrogate pair.
  function bytes(text) {
    const encoder = new TextEncoder();
    return new Blob(Array.from(text).reduce((parts, one) => {
      const code = one.codePointAt(0);
      const raw = code >= 0xdc80 && code <= 0xdcff;
      if (raw) parts.push(new Uint8Array([code - 0xdc00]));
      else if (typeof parts[parts.length - 1] === "string") parts[parts.length - 1] += one;
      else parts.push(one);
      return parts;
    }, []).map((part) => (typeof part === "string" ? encoder.encode(part) : part)));
  }

  return { diff, bytes };
})();
