"use strict";
// The guided start: what is typed is kept at once, a name stands in the questions about it, a new entry comes as soon
// as the last one has a name, hours can be painted. Without this script all of it can be typed and sent.
const form = document.querySelector("[data-start]");

// --- while a button is pressed, nothing moves
// What leaving a field changes on the page waits for the release: the button would not be under the pointer any more,
// and the click would be lost. It is done before what the click does.
let pressed = false;
let waiting = [];
const whenStill = (work) => { if (pressed) waiting.push(work); else work(); };
const release = () => {
  pressed = false;
  const works = waiting;
  waiting = [];
  for (const work of works) work();
};
addEventListener("mousedown", () => { release(); pressed = true; }, true);
addEventListener("click", release, true);
for (const end of ["mouseup", "dragend", "contextmenu"]) addEventListener(end, () => setTimeout(release), true);
addEventListener("keydown", release, true);

// --- kept at once
const kept = document.getElementById("kept");
let changed = false;
let apart = "elsewhere" in form.dataset; // what was typed in another window is not put over without a button
const keep = async () => {
  if (!changed || apart) return;
  changed = false;
  try {
    const answer = await fetch(`${form.action}/keep`, {
      method: "POST", body: new URLSearchParams(new FormData(form)), keepalive: true,
    });
    apart = answer.status === 409;
    whenStill(() => { kept.textContent = answer.ok ? form.dataset.kept : apart ? form.dataset.stale : form.dataset.notKept; });
    changed ||= !answer.ok;
  } catch {
    changed = true;
    whenStill(() => { kept.textContent = form.dataset.silent; });
  }
};
let soon;
const keepSoon = () => {
  changed = true;
  clearTimeout(soon);
  soon = setTimeout(keep, 600);
};
form.addEventListener("input", keepSoon);
form.addEventListener("change", keepSoon);
form.addEventListener("submit", () => { changed = false; clearTimeout(soon); });
addEventListener("pagehide", keep);

// --- names and entries
const called = (entry, name) => {
  for (const place of entry.querySelectorAll(".called")) place.textContent = name || entry.dataset.nobody;
};
const another = (group) => {
  const keys = [...group.querySelectorAll("input[name$='.keys']")].map((k) => Number(k.value.slice(1)));
  const pattern = group.querySelector("template");
  const key = group.dataset.group + (Math.max(0, ...keys) + 1);
  const holder = document.createElement("div");
  holder.innerHTML = pattern.innerHTML.replaceAll("0new0", key);
  const fresh = holder.firstElementChild;
  pattern.before(fresh);
  ready(fresh);
  return fresh;
};
const ready = (entry) => {
  const name = entry.querySelector("[data-called]");
  const first = entry.parentElement.querySelector("[data-entry]") === entry;
  if (name && !first && entry.classList.contains("new") && !name.value) entry.classList.add("blank");
  for (const field of entry.querySelectorAll("[data-week]")) paintable(field);
};
// with what a skill was learned, as it is understood
form.addEventListener("input", ({ target }) => {
  if (!target.matches("[data-names]")) return;
  const [first, ...others] = target.value.split(/[,;\n]/).map((name) => name.trim()).filter(Boolean);
  const words = first ? form.dataset[others.length ? "thingsSeveral" : "thingsOne"] : "";
  document.getElementById(`${target.id}-said`).textContent = filled(words, { first, others: others.join(", ") });
});
form.addEventListener("input", ({ target }) => {
  if (!target.matches("[data-called]")) return;
  const entry = target.closest("[data-entry]");
  called(entry, target.value.trim());
  if (!target.value.trim()) return;
  entry.classList.remove("blank");
  const group = target.closest("[data-group]");
  const last = [...group.querySelectorAll("[data-entry]")].at(-1);
  if (last === entry && group.querySelector("template") && group.hasAttribute("data-grows")) another(group);
});
// a list of names is an entry for each
form.addEventListener("change", ({ target }) => whenStill(() => {
  const group = target.closest("[data-listed]");
  if (!group || !target.matches("[data-called]")) return;
  const [first, ...others] = target.value.split(/[,;]/).map((name) => name.trim()).filter(Boolean);
  const rows = group.querySelectorAll("[data-entry]").length;
  if (!others.length || rows + others.length > Number(form.dataset.most)) return; // what is too long is asked about
  const put = (field, name) => {
    field.value = name;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  put(target, first);
  for (const name of others) {
    const fields = [...group.querySelectorAll("[data-entry] [data-called]")];
    put(fields.find((field) => !field.value.trim()) ?? another(group).querySelector("[data-called]"), name);
  }
}));
form.addEventListener("click", (event) => {
  const button = event.target.closest(".another button");
  if (!button) return;
  event.preventDefault();
  const group = button.closest("[data-group]");
  const last = [...group.querySelectorAll("[data-entry]")].at(-1);
  const waits = last?.classList.contains("new") && last.querySelector("[data-called]")?.value.trim() === "";
  const fresh = waits ? last : another(group); // an empty one that came by itself is enough
  fresh.classList.remove("blank");
  fresh.querySelector("input:not([type=hidden]), select, textarea").focus();
});

// --- hours
const DAYS = form.dataset.days.split(" "), SHORT = form.dataset.short.split(" ");
const WRITTEN = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]; // as hours are typed, in every language
const filled = (words, values) => words.replace(/{(\w+)}/g, (_, name) => values[name]);
const FIRST = 6 * 60, STEP = 30, CELLS = 30;
const clock = (minute) => `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
// [from, to) of a day put in or taken out of its stretches
const painted = (stretches, from, to, on) => {
  const rest = stretches.flatMap(([a, b]) => [[a, Math.min(b, from)], [Math.max(a, to), b]]).filter(([a, b]) => a < b);
  if (!on) return rest;
  const all = [...rest, [from, to]].sort((x, y) => x[0] - y[0]);
  return all.reduce((done, [a, b]) => {
    const last = done.at(-1);
    if (last && a <= last[1]) last[1] = Math.max(last[1], b);
    else done.push([a, b]);
    return done;
  }, []);
};
const written = (week) => {
  const days = week.map((stretches) => stretches.map(([a, b]) => `${clock(a)}-${clock(b)}`).join(" "));
  const parts = [];
  for (let first = 0; first < 7; first += 1) {
    let last = first;
    while (last < 6 && days[last + 1] === days[first]) last += 1;
    const name = WRITTEN[first] + (last > first ? `-${WRITTEN[last]}` : "");
    if (days[first]) parts.push(`${name} ${days[first]}`);
    first = last;
  }
  return parts.join(", ");
};
function paintable(field) {
  const said = document.getElementById(`${field.id}-said`);
  const box = document.createElement("div");
  box.className = "paint";
  const grid = document.createElement("div");
  grid.setAttribute("role", "grid");
  grid.tabIndex = 0;
  grid.setAttribute("aria-label", `${field.labels[0].textContent} ${form.dataset.keys}`);
  const head = document.createElement("div");
  head.setAttribute("role", "row");
  head.innerHTML = `<span role="columnheader"><span class="unseen">${form.dataset.day}</span></span>`
    + Array.from({ length: CELLS / 2 }, (_, n) => `<span role="columnheader" class="hour">${6 + n}</span>`).join("");
  grid.append(head);
  const cells = DAYS.map((day, d) => {
    const row = document.createElement("div");
    row.setAttribute("role", "row");
    row.innerHTML = `<span role="rowheader">${SHORT[d]}</span>`;
    grid.append(row);
    return Array.from({ length: CELLS }, (_, n) => {
      const cell = document.createElement("span");
      cell.setAttribute("role", "gridcell");
      cell.id = `${field.id}.${d}.${n}`;
      cell.setAttribute("aria-label", `${day} ${clock(FIRST + n * STEP)}`);
      cell.dataset.at = `${d},${n}`;
      row.append(cell);
      return cell;
    });
  });
  const same = document.createElement("p");
  same.className = "same";
  box.append(grid, same);
  said.after(box);

  let week = DAYS.map(() => []);
  let here = [0, 18];
  const isOn = (d, n) => week[d].some(([a, b]) => a <= FIRST + n * STEP && b >= FIRST + (n + 1) * STEP);
  const draw = () => {
    cells.forEach((row, d) => row.forEach((cell, n) => cell.setAttribute("aria-selected", isOn(d, n))));
    for (const cell of grid.querySelectorAll(".here")) cell.classList.remove("here");
    const at = cells[here[0]][here[1]];
    if (document.activeElement === grid) at.classList.add("here");
    grid.setAttribute("aria-activedescendant", at.id);
    const day = here[0];
    same.hidden = !week[day].length;
    if (same.dataset.day !== String(day)) {
      same.dataset.day = day;
      same.replaceChildren(filled(form.dataset.same, { day: DAYS[day] }), ...DAYS.flatMap((name, d) => {
        if (d === day) return [];
        const button = document.createElement("button");
        button.type = "button";
        button.className = "quiet";
        button.textContent = SHORT[d];
        button.setAttribute("aria-label", filled(form.dataset.sameOn, { short: SHORT[d], other: name, day: DAYS[day] }));
        button.addEventListener("click", () => { week[d] = week[day].map((s) => [...s]); tell(); });
        return [button];
      }));
    }
  };
  // what was painted goes into the field, which is what is sent
  const tell = () => {
    field.value = written(week);
    field.removeAttribute("aria-invalid");
    draw();
    field.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const read = async () => {
    const text = field.value;
    const answer = await fetch(`${form.action.replace(/[^/]*$/, "hours")}?text=${encodeURIComponent(text)}`);
    const found = await answer.json();
    whenStill(() => {
      if (field.value !== text) return; // more was painted or typed since
      const told = document.getElementById(`${field.id}-wrong`); // says the same already, or more
      said.textContent = found.problem ? (told ? "" : found.problem) : found.said;
      if (found.problem) return;
      week = found.week;
      draw();
    });
  };
  field.addEventListener("change", () => whenStill(() => {
    document.getElementById(`${field.id}-wrong`)?.remove(); // it was said of what stood there before
    field.removeAttribute("aria-invalid");
    read();
  }));
  const paint = ([d1, n1], [d2, n2], on, base) => {
    week = base.map((stretches, d) => d < Math.min(d1, d2) || d > Math.max(d1, d2) ? stretches
      : painted(stretches, FIRST + Math.min(n1, n2) * STEP, FIRST + (Math.max(n1, n2) + 1) * STEP, on));
  };
  let stroke = null;
  const under = ({ clientX, clientY }) => {
    const cell = document.elementFromPoint(clientX, clientY)?.closest?.("[data-at]");
    return cell && grid.contains(cell) ? cell.dataset.at.split(",").map(Number) : null;
  };
  grid.addEventListener("pointerdown", (event) => {
    const at = under(event);
    if (!at || event.button) return;
    event.preventDefault();
    grid.focus();
    grid.setPointerCapture(event.pointerId);
    stroke = { at, on: !isOn(...at), base: week };
    here = at;
    paint(at, at, stroke.on, stroke.base);
    draw();
  });
  grid.addEventListener("pointermove", (event) => {
    const at = stroke && under(event);
    if (!at) return;
    paint(stroke.at, at, stroke.on, stroke.base);
    draw();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    grid.addEventListener(end, () => { if (stroke) { stroke = null; tell(); } });
  }
  const MOVES = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0], Home: [0, -CELLS], End: [0, CELLS] };
  grid.addEventListener("keydown", (event) => {
    const move = MOVES[event.key];
    if (move) {
      const on = isOn(...here);
      here = [Math.min(6, Math.max(0, here[0] + move[0])), Math.min(CELLS - 1, Math.max(0, here[1] + move[1]))];
      if (event.shiftKey) { paint(here, here, on, week); tell(); } else draw();
    } else if (event.key === " ") {
      paint(here, here, !isOn(...here), week);
      tell();
    } else if (event.key === "Delete" || event.key === "Backspace") {
      week = week.map((stretches, d) => (d === here[0] ? [] : stretches));
      tell();
    } else return;
    event.preventDefault();
  });
  grid.addEventListener("focus", draw);
  grid.addEventListener("blur", draw);
  if (field.value) read(); else draw();
}
for (const entry of form.querySelectorAll("[data-entry]")) ready(entry);
for (const zone of form.querySelectorAll("[data-zone]")) {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";
  if ((!zone.value || zone.dataset.zone === "guess") && here.includes("/") && !here.startsWith("Etc/")) zone.value = here;
}
