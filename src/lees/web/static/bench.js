"use strict";
// What every page of the bench does: fields are saved before a page is left, kept while the
// connection is gone, and work in progress is asked for again.
(function () {
  let open = 0;
  let leaveFor = null;
  const failed = new Set();

  function say(text) {
    const line = document.getElementById("offline");
    if (line && line.textContent !== text) line.textContent = text;
  }

  function isSave(event) {
    return event.detail.requestConfig ? event.detail.requestConfig.verb === "post" : true;
  }

  document.addEventListener("htmx:configRequest", function (event) {
    // Choices of one field share a name in the page and are sent as its value.
    const sends = event.target.dataset ? event.target.dataset.sends : null;
    if (sends) {
      event.detail.parameters[sends] = event.target.value;
      delete event.detail.parameters[event.target.name];
    }
    event.detail.headers["X-Lees-Page"] = "1";
  });

  document.addEventListener("htmx:beforeRequest", function (event) {
    if (isSave(event)) open += 1;
  });

  document.addEventListener("htmx:afterRequest", function (event) {
    if (!isSave(event)) return;
    open -= 1;
    if (event.detail.successful) {
      failed.delete(event.target);
      if (!failed.size) say("");
    }
    // A save that waited for this one starts only after this event; look again once it has.
    window.setTimeout(leave, 0);
  });

  function leave() {
    if (open === 0 && leaveFor && !failed.size) window.location.assign(leaveFor);
  }

  document.addEventListener("htmx:sendError", function (event) {
    const field = event.target;
    failed.add(field);
    leaveFor = null;
    say("No connection. What you entered is kept on this page and will be saved when it is back.");
    window.setTimeout(function () {
      if (field.isConnected && failed.has(field)) window.htmx.trigger(field, "change");
    }, 2000);
  });

  document.addEventListener("click", function (event) {
    const link = event.target.closest ? event.target.closest("a[href]") : null;
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || link.target) return;
    if (link.getAttribute("href").startsWith("#")) return;
    // The field that is being left is saved in its `change`, which comes before this click.
    if (open > 0 || failed.size) {
      event.preventDefault();
      leaveFor = link.href;
      if (failed.size) say("Not everything is saved yet; stay on this page until it is.");
    }
  });

  window.addEventListener("beforeunload", function (event) {
    if (open > 0 || failed.size) event.preventDefault();
  });

  function askAgain() {
    const working = document.querySelector("[data-again]");
    if (!working) return;
    window.setTimeout(function () {
      window.fetch(working.dataset.again, { credentials: "same-origin" }).then(function (answer) {
        if (answer.redirected) { window.location.assign(answer.url); return null; }
        return answer.text();
      }).then(function (text) {
        if (text === null) return;
        const page = new DOMParser().parseFromString(text, "text/html");
        const next = page.querySelector("[data-again]");
        if (!next) { window.location.reload(); return; }
        if (working.textContent !== next.textContent) working.textContent = next.textContent;
        askAgain();
      }).catch(askAgain);
    }, 500);
  }
  document.addEventListener("DOMContentLoaded", askAgain);

  // The open step of the rail is brought into sight on narrow screens.
  document.addEventListener("DOMContentLoaded", function () {
    const step = document.querySelector(".rail [aria-current]");
    if (step) step.scrollIntoView({ block: "nearest", inline: "center" });
  });
})();
// A part's card says at once what was chosen, and the next one opens.
document.addEventListener("htmx:afterRequest", function (event) {
  const state = event.target.closest ? event.target.closest(".state") : null;
  if (!state || !event.detail.successful) return;
  const part = state.closest(".part");
  part.querySelector(".part-found").textContent = state.querySelector(".state-words").textContent;
  const next = part.nextElementSibling;
  if (next && !next.open && next.querySelector("input:checked") === null) next.open = true;
});
