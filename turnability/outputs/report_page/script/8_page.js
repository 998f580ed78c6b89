// What the page's controls do.
const PAPER_PX = 690;

function onClick(id, act) {
  $(id)?.addEventListener("click", act);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  const { finding, left, feature, departure, entry, step } = button.dataset;
  const leave = () => { if (stepNow >= 0) { clearPick(); leaveSteps(); } };
  if (finding) { leave(); pickById("finding", finding); }
  else if (left) { leave(); pickById("left", left); }
  else if (feature) { leave(); pickById("feature", feature); }
  else if (departure) { leave(); pickById("departure", departure); }
  else if (entry) { leave(); pickTool(Number(entry)); }
  else if (step) {
    const index = steps.findIndex((s) => s.name === step);
    showStep(index === stepNow ? -1 : index);
  }
});

for (const one of all("[name=units]")) one.addEventListener("change", () => setUnits(one.value));
for (const one of all("[name=ground]")) {
  one.addEventListener("change", () => {
    if (one.value === "auto") delete root.dataset.ground;
    else root.dataset.ground = one.value;
    markRound();
  });
}
window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => markRound());
onClick("print", () => window.print());

// Paper shows all that is folded, but for findings of which the fold itself says all that another
// does not, and what was assumed, which has a table of its own there; and folds it again.
let unfolded = [];
window.addEventListener("beforeprint", () => {
  unfolded = all("details:not([open])").filter((one) => !one.closest(".finding:not(:has(details[data-own])), .assumed"));
  for (const one of unfolded) one.open = true;
  $("caption")?.classList.toggle("idle", !picked);
  if (drawing) {
    const long = (PAPER_PX - 92) / (content.high - content.low);
    const tall = 2 * content.radius * long + content.above + tagsHeight(tagRows(tags(), LENGTH * long, PAPER_PX)) + 46;
    paper = [PAPER_PX, Math.round(Math.min(tall, 330))];
    drawing.style.height = `${paper[1]}px`;
    firstView();
  }
  printRound([PAPER_PX, 280]);
});
window.addEventListener("afterprint", () => {
  for (const one of unfolded) one.open = false;
  unfolded = [];
  if (drawing) { paper = null; drawing.style.height = ""; firstView(); }
  drawRound();
});

for (const one of all("[data-filter]")) {
  one.addEventListener("change", () => {
    const level = one.dataset.filter;
    document.querySelector(`.group[data-level="${level}"]`).hidden = !one.checked;
    if (one.checked) hiddenLevels.delete(level);
    else hiddenLevels.add(level);
    if (drawing) drawSigns();
  });
}

if (drawing) {
  onClick("closer", () => (picked?.box && view.w > 0.6 * wholeView().w ? closeTo(picked.box) : zoom(1.6)));
  onClick("farther", () => zoom(1 / 1.6));
  onClick("whole", () => setView(wholeView()));
  onClick("alone", sectionAlone);
  for (const id of ["show-names", "show-sizes"]) {
    $(id).addEventListener("change", () => {
      drawing.classList.toggle("roomy", $("show-names").checked || $("show-sizes").checked);
      if (stepNow < 0) firstView();
      else setView(wholeView());
    });
  }
  $("cut-both").addEventListener("change", () => {
    $("lower-cut").toggleAttribute("hidden", !$("cut-both").checked);
    $("lower-outside").toggleAttribute("hidden", $("cut-both").checked);
    drawing.classList.toggle("both-cut", $("cut-both").checked);
  });
  $("turn-round").addEventListener("change", () => { turned = $("turn-round").checked; setView(wholeView()); });
  $("show-bending")?.addEventListener("change", () => {
    content.above = 0;
    showStep(stepNow < 0 ? 0 : stepNow);
  });
  onClick("step-on", () => showStep(Math.min(stepNow + 1, steps.length - 1)));
  onClick("step-back", () => showStep(Math.max(stepNow - 1, 0)));

  for (const one of all("#section .seg")) {
    one.addEventListener("click", () => pickById("segment", one.dataset.segment));
    one.addEventListener("pointerenter", () => { if (!picked) say(`${sizeWords(segmentById.get(one.dataset.segment))}.`); });
  }
  for (const one of all("#section .region")) one.addEventListener("click", () => pickById("left", one.dataset.left));
  for (const one of all("#section .departure")) one.addEventListener("click", () => pickById("departure", one.dataset.departure));

  const contour = segments.filter((s) => s.surface !== "axis").map((s) => s.id);
  table.addEventListener("keydown", (event) => {
    const at = picked?.kind === "segment" ? contour.indexOf(picked.id) : -1;
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (step) {
      // the outline runs anticlockwise: to the right along the bore, back along the outside
      const next = at < 0 ? (step > 0 ? 0 : contour.length - 1) : (at + step + contour.length) % contour.length;
      pickById("segment", contour[next]);
    } else if (event.key === "+" || event.key === "=") zoom(1.6);
    else if (event.key === "-") zoom(1 / 1.6);
    else if (event.key === "0") setView(wholeView());
    else if (event.key === "Escape") { clearPick(); leaveSteps(); firstView(); say("Nothing picked."); markRound(); }
    else return;
    event.preventDefault();
  });

  // Drag the tool, or the drawing where it is larger than its frame; ctrl and wheel changes the scale.
  let drag = null;
  const place = (event) => {
    const matrix = drawing.getScreenCTM().inverse();
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    return [p.x, p.y];
  };
  drawing.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    const onTool = tool && event.target.closest(".tool-layer");
    drag = { onTool, from: place(event), at: tool ? [...tool.at] : null, view: { ...view }, moved: false, id: event.pointerId };
  });
  drawing.addEventListener("pointermove", (event) => {
    if (!drag) return;
    const [x, y] = place(event);
    const [dx, dy] = [x - drag.from[0], y - drag.from[1]];
    if (!drag.moved && Math.hypot(dx, dy) * scale < 4) return;
    if (!drag.moved) drawing.setPointerCapture(drag.id);
    drag.moved = true;
    if (drag.onTool && tool) moveTool([drag.at[0] + (turned ? -dx : dx), drag.at[1] - dy]);
    else { setView({ ...view, x: view.x - dx, y: view.y - dy }); drag.from = place(event); }
  });
  for (const name of ["pointerup", "pointercancel"]) drawing.addEventListener(name, () => { drag = null; });
  drawing.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    zoom(event.deltaY < 0 ? 1.2 : 1 / 1.2, place(event));
  }, { passive: false });

  let width = 0;
  new ResizeObserver(() => {
    if (Math.abs(drawing.clientWidth - width) < 1) return;
    width = drawing.clientWidth;
    firstView();
  }).observe(drawing);
  firstView();
}

$("earlier")?.addEventListener("change", (event) => {
  const [file] = event.target.files;
  if (file) readEarlier(file);
});

if (canvas) {
  onClick("view-left", () => turnRound(-0.25, 0));
  onClick("view-right", () => turnRound(0.25, 0));
  onClick("view-up", () => turnRound(0, -0.25));
  onClick("view-down", () => turnRound(0, 0.25));
  onClick("view-closer", () => turnRound(0, 0, 1 / 1.3));
  onClick("view-farther", () => turnRound(0, 0, 1.3));
  onClick("view-reset", () => { looking = { ...START }; $("view-cut").checked = false; drawRound(); });
  $("view-cut").addEventListener("change", () => drawRound());
  canvas.addEventListener("keydown", (event) => {
    const act = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.15], ArrowDown: [0, 0.15], "+": [0, 0, 1 / 1.2], "=": [0, 0, 1 / 1.2], "-": [0, 0, 1.2] }[event.key];
    if (!act) return;
    turnRound(...act);
    event.preventDefault();
  });
  let held = null;
  canvas.addEventListener("pointerdown", (event) => {
    held = { x: event.clientX, y: event.clientY, moved: false };
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
    if (!held.moved && Math.hypot(dx, dy) < 4) return;
    turnRound(dx * 0.008, dy * 0.008);
    held = { x: event.clientX, y: event.clientY, moved: true };
  });
  canvas.addEventListener("pointerup", (event) => {
    if (held && !held.moved && round) {
      const found = faceAt(event.offsetX, event.offsetY);
      if (found !== null) pickFace(found);
    }
    held = null;
  });
  new ResizeObserver(() => drawRound()).observe(canvas.parentElement);
  new IntersectionObserver((entries, observer) => {
    if (entries.some((entry) => entry.isIntersecting)) {
      observer.disconnect();
      startRound();
    }
  }, { rootMargin: "400px" }).observe(canvas);
  // else it would be missing on paper where nobody has scrolled down to it
  (window.requestIdleCallback || ((act) => setTimeout(act, 1000)))(() => startRound());
}

if (inch !== ownInch) setUnits(inch ? "inch" : "mm");
