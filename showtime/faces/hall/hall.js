"use strict";
// Moves through the day: which stalls sound at the time that the slider stands at.
(() => {
  const day = document.getElementById("day");
  const slide = document.getElementById("slide");
  if (!day || !slide) return;
  const opens = Number(day.dataset.opens), closes = opens + Number(slide.max);
  const plays = [...day.querySelectorAll(".play")].map((mark) => ({
    stall: mark.dataset.stall, piece: mark.dataset.piece, ends: mark.dataset.ends,
    from: Number(mark.dataset.from), until: Number(mark.dataset.until),
  }));
  const stands = new Map(
    [...day.querySelectorAll(".stand")].map((mark) => [mark.dataset.stall, mark]),
  );
  const starts = [...new Set(plays.map((play) => play.from))].sort((a, b) => a - b);
  const hand = day.querySelector(".hand"), list = document.getElementById("sounding");
  const clock = new Intl.DateTimeFormat("en-GB", {
    timeZone: day.dataset.zone, hour: "2-digit", minute: "2-digit", hourCycle: "h23",
  });

  const line = (words) => {
    const item = document.createElement("li");
    item.textContent = words;
    list.append(item);
  };

  const show = () => {
    const now = Number(slide.value), shown = clock.format((opens + now) * 1000);
    const heard = plays.filter((play) => play.from <= now && now < play.until);
    const names = heard.map((play) => stands.get(play.stall).getAttribute("aria-label"));
    document.getElementById("shown").textContent = shown;
    for (const [stall, mark] of stands)
      mark.classList.toggle("on", heard.some((play) => play.stall === stall));
    const share = now / (closes - opens);
    const wide = Number(hand.dataset.right) - Number(hand.dataset.left);
    hand.setAttribute("transform", `translate(${share * wide} 0)`);
    list.replaceChildren();
    heard.forEach((play, place) => line(`${names[place]}: ${play.piece}, until ${play.ends}`));
    if (!heard.length) line("No stall sounds.");
    const told = `${shown}: ${names.length ? names.join(", ") : "no stall sounds"}`;
    slide.setAttribute("aria-valuetext", told);
    return told;
  };

  const leap = (start) => {
    if (start === undefined) return;
    slide.value = String(start);
    document.getElementById("told").textContent = show();
  };

  document.getElementById("earlier").addEventListener("click", () => {
    leap(starts.filter((start) => start < Number(slide.value)).at(-1));
  });
  document.getElementById("later").addEventListener("click", () => {
    leap(starts.find((start) => start > Number(slide.value)));
  });
  slide.addEventListener("input", show);

  // The stall that is pointed at, or that the keyboard stands on, shows with whom it counts.
  const near = (stall) => {
    for (const bond of day.querySelectorAll(".bond"))
      bond.classList.toggle("near", bond.dataset.of.split(" ").includes(stall));
  };
  for (const [stall, mark] of stands) {
    for (const come of ["pointerenter", "focus"]) mark.addEventListener(come, () => near(stall));
    for (const go of ["pointerleave", "blur"]) mark.addEventListener(go, () => near(""));
  }

  document.getElementById("hour").hidden = false;
  day.classList.add("live");
  if (starts.length) slide.value = String(starts[0]);
  show();
})();
