"use strict";
// A caliper that types: each Enter takes the whole field at once and clears it before anything
// else happens; readings are queued and sent one by one, each with a key of its own, so that a
// burst is neither lost nor merged, and one that is sent again is taken once.
document.addEventListener("DOMContentLoaded", function () {
  const entry = document.getElementById("entry");
  if (!entry || entry.hidden) return;
  const ref = entry.dataset.ref;
  const repeats = Number(entry.dataset.repeats);
  const input = document.getElementById("reading");
  const list = document.getElementById("measures");
  const store = "lees-readings-" + ref;
  let queue = [];
  try { queue = JSON.parse(window.localStorage.getItem(store)) || []; } catch (error) { queue = []; }
  let sending = false;
  let active = null;

  function key() {
    const bytes = new Uint8Array(16);
    window.crypto.getRandomValues(bytes); // also there without a secure context
    return Array.from(bytes, function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
  }
  function keep() { window.localStorage.setItem(store, JSON.stringify(queue)); }
  function rows() { return Array.from(list.querySelectorAll(".measure")); }
  function rowOf(what) { return rows().find(function (row) { return row.dataset.what === what; }); }
  function waiting(what) { return queue.filter(function (one) { return one.what === what; }); }
  function many(row) { return Number(row.dataset.count) + waiting(row.dataset.what).length; }
  function wanted(row) {
    if (row.dataset.what === "zero" || row.dataset.instrument === "counting") return 1;
    return repeats;
  }

  function show() {
    rows().forEach(function (row) {
      const here = row === active;
      row.classList.toggle("active", here);
      row.querySelector(".measure-pick").setAttribute("aria-pressed", here ? "true" : "false");
      row.querySelectorAll(".pending").forEach(function (one) { one.remove(); });
      waiting(row.dataset.what).forEach(function (one) {
        const item = document.createElement("li");
        item.className = "pending";
        item.textContent = one.text;
        row.querySelector(".readings").append(item);
      });
    });
    const name = active.querySelector(".measure-name").textContent;
    document.getElementById("asked").textContent = name + (active.dataset.what === "zero"
      ? ": what does it show?" : ", with the " + active.dataset.instrument);
    const left = wanted(active) - many(active);
    document.getElementById("progress").textContent = active.dataset.what === "zero"
      ? "A zero that is off shifts every reading by the same amount. Next measures without it."
      : many(active) + (left > 0 ? " of " + wanted(active) : "") + " taken";
  }

  function pick(row, scroll) {
    active = row;
    show();
    if (scroll) row.scrollIntoView({ block: "nearest" });
    input.focus({ preventScroll: true });
  }
  function step(by) {
    const all = rows();
    pick(all[Math.min(all.length - 1, Math.max(0, all.indexOf(active) + by))], true);
  }

  function take(text) {
    const typed = text.trim();
    if (!typed) { step(1); return; }
    const unit = active.dataset.instrument === "counting" ? "1"
      : document.querySelector("input[name=unit]:checked").value;
    queue.push({ key: key(), what: active.dataset.what, text: typed, unit: unit,
      instrument: active.dataset.instrument });
    keep();
    if (many(active) >= wanted(active) && many(active) % wanted(active) === 0) step(1); else show();
    send();
  }

  function refused(one, line) {
    const item = document.createElement("li");
    const words = document.createElement("span");
    words.textContent = "“" + one.text + "” was not taken: " + line;
    const again = document.createElement("button");
    again.type = "button";
    again.className = "second";
    again.textContent = "Type it again";
    again.addEventListener("click", function () {
      item.remove();
      pick(rowOf(one.what) || active, true);
      input.value = one.text;
      input.select();
    });
    item.append(words, again);
    document.getElementById("refused").append(item);
  }

  function said(line) { document.getElementById("offline").textContent = line; }

  function send() {
    if (sending || !queue.length) return;
    sending = true;
    const one = queue[0];
    const body = { key: one.key, what: one.what, text: one.text, unit: one.unit, instrument: one.instrument };
    window.fetch("/case/" + ref + "/readings", {
      method: "POST", credentials: "same-origin", body: JSON.stringify(body),
      headers: { "Content-Type": "application/json", "X-Lees": "json" },
    }).then(function (answer) {
      if (answer.status >= 500 || answer.status === 408 || answer.status === 429) throw new Error("later");
      return answer.json().then(function (told) { return { ok: answer.ok, told: told }; });
    }).then(function (answer) {
      queue.shift();
      keep();
      said("");
      const speaks = document.getElementById("speaks");
      if (!answer.ok) {
        refused(one, answer.told.error || "it could not be understood.");
      } else if (one.what === "zero") {
        const row = rowOf("zero");
        row.dataset.count = "1";
        document.getElementById("zero-shown").textContent = one.text + " " + one.unit;
        document.getElementById("zero-day").textContent = "checked just now";
      } else {
        const old = rowOf(one.what);
        const holder = document.createElement("template");
        holder.innerHTML = answer.told.row.trim();
        const fresh = holder.content.firstElementChild;
        if (old === active) active = fresh;
        old.replaceWith(fresh);
        speaks.textContent = answer.told.says || "";
      }
      show();
      sending = false;
      send();
    }).catch(function () {
      said("No connection: " + queue.length + (queue.length > 1 ? " readings are" : " reading is")
        + " kept here and sent when it is back.");
      sending = false;
      window.setTimeout(send, 1000);
    });
  }

  input.addEventListener("keydown", function (event) {
    if (event.key === "Enter") {
      event.preventDefault();
      const text = input.value;
      input.value = "";
      take(text);
    } else if (event.key === "ArrowDown") { event.preventDefault(); step(1); }
    else if (event.key === "ArrowUp") { event.preventDefault(); step(-1); }
  });
  document.getElementById("take").addEventListener("click", function () {
    const text = input.value;
    input.value = "";
    if (text.trim()) take(text);
    input.focus({ preventScroll: true });
  });
  document.getElementById("next").addEventListener("click", function () { step(1); });
  document.querySelectorAll("input[name=unit]").forEach(function (one) {
    one.addEventListener("change", function () { input.focus({ preventScroll: true }); });
  });
  list.addEventListener("click", function (event) {
    const button = event.target.closest(".measure-pick");
    if (button) pick(button.closest(".measure"), false);
  });
  // What a caliper types while the focus is elsewhere goes into the field all the same.
  document.addEventListener("keydown", function (event) {
    const at = document.activeElement;
    const typing = at && /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName) && at.type !== "radio";
    if (!typing && /^[0-9.,+-]$/.test(event.key) && !event.ctrlKey && !event.metaKey) {
      input.focus({ preventScroll: true });
    }
  });

  const named = window.location.hash ? document.getElementById(window.location.hash.slice(1)) : null;
  const first = rows().find(function (row) { return many(row) < wanted(row); });
  pick(named && named.classList.contains("measure") ? named : first || rows()[0], false);
  send();
});
