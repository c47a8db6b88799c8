/* Looks again when something in the hall has changed, and owns up when it hears nothing. Without it
   the page works all the same, by loading it anew. */
(function () {
  "use strict";
  var now = document.getElementById("now"), lost = document.getElementById("lost"), told = document.getElementById("told");
  var said = document.getElementById("said"), ask = document.querySelector(".ask"), forWhat = document.getElementById("for"), root = document.documentElement;
  var wait = 500, last = Date.now(), lastClock = "", asking = null, again = false, stream, known = news();
  var SILENCE = 7000;

  function each(selector, what, within) { Array.prototype.forEach.call((within || document).querySelectorAll(selector), what); }

  function stale(gone) {
    var clock = now.querySelector(".clock"), text = "";
    if (gone) text = "Connection lost. What stands here is of " + (lastClock || (clock ? clock.textContent : "")) + " and may be wrong by now. Quiet from here may not reach anybody: use the organiser's terminal, or go and tell them.";
    root.classList[gone ? "add" : "remove"]("stale");
    lost.hidden = !gone;
    if (lost.textContent !== text) lost.textContent = text;
  }

  /* What is new among the lines that matter is read out, and nothing else. */
  function news() {
    var lines = [];
    if (now) each("[data-tell]", function (e) { lines.push(e.getAttribute("data-tell")); }, now);
    return lines;
  }

  function show(html) {
    var at = document.activeElement, mine = at && now.contains(at);
    var held = mine ? [at.tagName, at.value || "", at.parentNode.getAttribute("data-keep") || ""] : null;
    var open = [], left = 0, floor = now.querySelector(".floor"), fresh = document.createElement("div");
    fresh.innerHTML = html;
    if (fresh.innerHTML === now.innerHTML) return;
    each("details[open]", function (e) { open.push(e.getAttribute("data-keep")); }, now);
    if (floor) left = floor.scrollLeft;
    now.innerHTML = html;
    each("details", function (e) { e.open = open.indexOf(e.getAttribute("data-keep")) >= 0; }, now);
    floor = now.querySelector(".floor");
    if (floor) floor.scrollLeft = left;
    if (held) each("button, summary, .floor", function (e) {
      if (e.tagName === held[0] && (e.value || "") === held[1] && (e.parentNode.getAttribute("data-keep") || "") === held[2]) e.focus();
    }, now);
    var lines = news(), unheard = lines.filter(function (line) { return known.indexOf(line) < 0; });
    known = lines;
    if (unheard.length) told.textContent = unheard.join(". ");
  }

  function look() {
    if (asking) { again = true; return; }
    asking = new XMLHttpRequest();
    asking.open("GET", "/hall/now");
    asking.timeout = 8000;
    asking.onload = function () {
      if (asking.status === 403) { location.reload(); return; }
      if (asking.status !== 200) return;
      /* Not under a thumb that is just pressing. */
      if (now.querySelector("button:active, summary:active")) { again = true; return; }
      show(asking.responseText);
      lastClock = now.querySelector(".clock").textContent;
    };
    asking.onloadend = function () {
      asking = null;
      if (again) { again = false; setTimeout(look, 150); }
    };
    asking.send();
  }

  function connect() {
    stream = new EventSource("/hall/changes");
    stream.onmessage = function (event) {
      last = Date.now();
      wait = 500;
      stale(false);
      if (event.data === "look") look();
    };
    stream.onerror = function () {
      stream.close();
      stale(true);
      look();  /* after a restart it is the door that answers, which a stream does not tell */
      setTimeout(connect, wait);
      wait = Math.min(2 * wait, 5000);
    };
  }

  function minutes() {
    var chosen = document.querySelector("[name=minutes]:checked");
    if (chosen) forWhat.textContent = "for " + chosen.value + " minutes";
  }

  /* Sent from here, so that the page stays, and says so, when nothing can be sent. */
  function sent(form, button) {
    var sending = new XMLHttpRequest(), body = [];
    each("input", function (e) { if (e.type !== "radio" || e.checked) body.push(encodeURIComponent(e.name) + "=" + encodeURIComponent(e.value)); }, form);
    if (button.name) body.push(button.name + "=" + encodeURIComponent(button.value));
    sending.open("POST", form.getAttribute("action"));
    sending.setRequestHeader("Content-Type", "application/x-www-form-urlencoded");
    sending.responseType = "document";
    sending.timeout = 5000;
    button.disabled = true;
    sending.onload = function () {
      var page = sending.response, fresh = page && page.getElementById("now");
      if (sending.status !== 200 || !fresh) { say("NOT DONE: the page is out of date, and is loaded anew."); location.reload(); return; }
      show(fresh.innerHTML);
      say(page.getElementById("said").textContent);
      ask.once.value = page.querySelector("[name=once]").value;
      if (form === ask) { ask.why.value = ""; window.scrollTo(0, 0); }
    };
    sending.onerror = sending.ontimeout = function () { say("NOT SENT: nobody has been told. Try again, or go and tell them."); window.scrollTo(0, 0); };
    sending.onloadend = function () { button.disabled = false; };
    sending.send(body.join("&"));
  }

  function say(text) {
    said.hidden = !text;
    said.textContent = text;
  }

  document.addEventListener("submit", function (event) {
    var form = event.target, button = form.querySelector("button");
    if (form.className === "leave") return;
    event.preventDefault();
    sent(form, button);
  });

  setInterval(function () {
    if (Date.now() - last > SILENCE) stale(true);
    if (stream.readyState !== 2 && Date.now() - last > 2 * SILENCE) { last = Date.now() - SILENCE - 1; stream.onerror(); }
  }, 500);
  each("[name=minutes]", function (e) { e.onchange = minutes; });
  minutes();
  connect();
}());
