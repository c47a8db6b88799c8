/* Keeps the board right: a stream of sheets, its own reconnecting, and honesty when it is lost. */
(function () {
  "use strict";
  var root = document.documentElement, bill = document.getElementById("bill"), lost = document.getElementById("lost");
  var said = document.getElementById("said"), light = document.getElementById("light");
  var sheets = null, order = [], turn = 0, chosen = "", spoken = "", told = "";
  var ahead = 0, known = false, heard = ticks(), heardAt = Date.now(), heardClock = lost.getAttribute("data-clock"), wait = 500, stream = null, retry = 0;
  var TURN = 8000, SILENCE = 6000;

  function ticks() { return window.performance ? performance.now() : Date.now(); }
  function now() { return ticks() + ahead; }
  /* A phone that slept may have stopped one of its clocks: the one that says more is believed. */
  function silence() { return Math.max(ticks() - heard, Date.now() - heardAt); }
  function remembered(key, value) {
    try { if (value === undefined) return localStorage.getItem(key); localStorage.setItem(key, value); } catch (e) { /* private: not kept */ }
    return null;
  }

  function countdown() {
    var away = bill.querySelector(".away"), left, text;
    if (!away || !known) return;
    left = Math.ceil((+away.getAttribute("data-starts") - now()) / 60000);
    if (left <= 1) text = away.getAttribute("data-moment");
    else if (left < 60) text = away.getAttribute("data-minutes").replace("{}", left);
    else text = away.getAttribute("data-hours").replace("{}", Math.floor(left / 60)).replace("{}", left % 60);
    if (away.textContent !== text) away.textContent = text;
  }

  function show() {
    if (!sheets) return;
    var language = chosen && sheets[chosen] ? chosen : order[turn % order.length], sheet = sheets[language];
    if (bill.getAttribute("data-shown") !== sheet.html) {
      bill.innerHTML = sheet.html;
      bill.setAttribute("data-shown", sheet.html);
    }
    bill.lang = root.lang = language;
    countdown();
    announce(language);
    if (light) light.textContent = sheet.light;
    var phone = document.querySelector("[data-phone]");
    if (phone) phone.textContent = sheet.phone;
    stale();
  }

  /* Read out when what is told changes, not when the language does. */
  function announce(language) {
    var time = bill.querySelector(".time time"), head = bill.querySelector(".heading");
    var news = sheets.told;
    if (news === told) return;
    told = news;
    said.lang = language;
    said.textContent = head.textContent + (time ? " " + time.textContent : "");
  }

  function stale() {
    var gone = silence() > SILENCE || (stream === null && retry > 0);
    root.classList[gone ? "add" : "remove"]("stale");
    var text = gone ? (sheets ? sheets[bill.lang].lost : lost.getAttribute("data-lost")).replace("{}", heardClock) : "";
    if (lost.textContent !== text) lost.textContent = text;
  }

  function alive(message) {
    known = true;
    heard = ticks();
    heardAt = Date.now();
    heardClock = message.clock;
    ahead = message.now - heard;
    wait = 500;
    retry = 0;
  }

  function connect() {
    stream = new EventSource("/changes");
    stream.onmessage = function (event) {
      var message = JSON.parse(event.data);
      alive(message);
      if (message.sheets) { sheets = message.sheets; sheets.told = message.told; order = message.order; show(); } else { stale(); countdown(); }
    };
    stream.onerror = function () {
      stream.close();
      stream = null;
      retry += 1;
      stale();
      setTimeout(connect, wait);
      wait = Math.min(wait * 2, 5000);
    };
  }

  /* A connection that is silent without an error is dead as well. */
  function watch() {
    stale();
    countdown();
    if (stream && silence() > 2 * SILENCE) {
      heard = ticks() - SILENCE - 1;
      heardAt = Date.now() - SILENCE - 1;
      stream.onerror();
    }
  }

  Array.prototype.forEach.call(document.querySelectorAll("[data-language]"), function (button) {
    button.onclick = function () {
      var language = button.getAttribute("data-language");
      chosen = chosen === language ? "" : language;
      Array.prototype.forEach.call(document.querySelectorAll("[data-language]"), function (each) {
        each.setAttribute("aria-pressed", String(each.getAttribute("data-language") === chosen));
      });
      show();
    };
  });

  var kept = remembered("light");
  if (kept) root.className = kept;
  light.onclick = function () {
    var dark = root.classList.contains("dark") || (!root.classList.contains("light") && window.matchMedia("(prefers-color-scheme: dark)").matches);
    root.classList.remove("dark", "light");
    root.classList.add(dark ? "light" : "dark");
    remembered("light", dark ? "light" : "dark");
  };

  setInterval(watch, 500);
  setInterval(function () { if (order.length > 1 && !chosen && !root.classList.contains("stale")) { turn += 1; show(); } }, TURN);
  connect();
}());
