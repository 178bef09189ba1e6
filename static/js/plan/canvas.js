// The drawing on the Plan sheet, taken in hand: the server draws the plan, this lays it under the finger, and what is drawn
// on it goes back as changes. One canvas a page; the answers of the server replace the drawing, never what is in hand.

import htmx from 'htmx.org';
import { listen, REACH } from './gestures.js';
import { groundOn } from './ground.js';
import { lengthWords } from './lengths.js';
import { look } from './look.js';
import { move } from './move.js';
import { overlayOn } from './overlay.js';
import { loupeOn } from './loupe.js';
import { lineFields, makingOf } from './making.js';
import { reshape } from './reshape.js';
import { reworkingOf } from './reworking.js';
import { senderOf } from './sending.js';
import { wktOf } from './shape.js';
import { edgeAt } from './edges.js';
import { rounded, targetsOf } from './snapping.js';
import { stripOf } from './strip.js';
import { boxOf, hit, readPlan } from './things.js';
import { drawingTransform, fitted, matrixOf, panned, toFeet, toPx, zoomed } from './view.js';

const TOOLS = { look, reshape, move };
const STEPS = { sketch: 1, taped: 1 / 12, free: 0 };
const STEP_KEY = 'outlay.plan-step';
const LAYERS_KEY = 'outlay.plan-layers-hidden';
const AROUND = { left: 50, top: 22, bottom: 100 }; // px around what is fitted: dimensions; below, north and scale
const NARROW = 520; // px: a drawing less wide than this is seen on a phone, with less around it
const drawnAround = (width) => (width < NARROW ? 46 : 58); // px that the server leaves around it
const sides = (width) => (width < NARROW ? 46 : AROUND.left);
const ROUGHER = 1.3; // drawn anew when the lettering would stand this many times too large or too small
const FINGER = 23; // px: half of what a finger needs to meet a bubble
const REST = 180; // ms after the last turn of the wheel

const root = document.getElementById('canvas');
if (root) start(root);

function start(section) {
  const window_ = section.querySelector('[data-view]');
  const overlay = overlayOn(section.querySelector('.overlay'), section.querySelector('.readout'));
  const told = section.querySelector('.told');
  const strip = stripOf(section, { laid: () => rise() });
  const ground = groundOn(section.querySelector('.grid path'), section.querySelector('.bearings'));
  const loupe = loupeOn(window_, section.querySelector('.loupe'));
  const texts = JSON.parse(section.dataset.words);
  const base = section.dataset.plan;
  let read = readPlan(document.getElementById('drawing'));
  let tool = null;
  let settling = 0;
  let tall = 0; // px: the window as it was laid last
  let whole = false; // the whole plan is shown, and was not moved since
  let refit = false; // it is on its way at another size, with other edges

  const plan = {
    view: null,
    overlay,
    get things() { return read.things; },
    get focus() { return read.focus; },
    get walls() { return read.walls; },
    /** What a point can be caught by: corners and edges of all things (but one), arc centers, survey marks. */
    targets: ({ but = null, own = [] } = {}) => targetsOf([...read.marks, ...read.things.values(), ...own], { but }),
    toFeet: (px) => toFeet(plan.view, px),
    toPx: (feet) => toPx(plan.view, feet),
    reach: (kind) => (REACH[kind] ?? REACH.mouse) / plan.view.k,
    step: () => STEPS[stepPicked()],
    length: (feet) => lengthWords(feet, read.system),
    words: (key, values = {}) => Object.entries(values).reduce((text, [name, value]) => text.replace(`{${name}}`, value), texts[key] ?? ''),
    tell(words) { told.textContent = words; },
    hit: (px, kind) => hit(read.things, plan.toFeet(px), plan.reach(kind), hidden()),
    edgeAt: (px, kind) => edgeAt(window_, plan.toFeet(px), plan.reach(kind)),
    /** What a finger hides, shown in the glass; nothing for a mouse. */
    loupe(kind, at) {
      if (kind === 'touch') loupe.show(plan.view, read.drawing, plan.toPx(at));
      else loupe.hide();
    },
    pressed: null, // px: where the finger was put down
    middle: () => plan.toFeet(size().map((one) => one / 2)).map((one) => rounded(one, plan.step() || 1)),
    measured: () => (stepPicked() === 'taped' ? 'taped' : 'sketch'),
    noteWords: () => strip.text('note'),
    typed: (name) => strip.text(name),
    typedStretch: (bearing) => typedStretch(bearing),
    use: (name) => plan.useTool(TOOLS[name](plan)),
    useTool(one) {
      tool = one;
      section.dataset.tool = one.name;
      overlay.mark('');
      overlay.read(plan.view);
      plan.showBar();
      tool.redraw();
    },
    showBar() {
      strip.show(tool.bar(), tool.panel ?? '', read.things.get(read.focus));
    },
    /** Open the margin note of a thing; nothing: the list of what is there. */
    select(key) {
      read = { ...read, focus: key };
      tool.redraw();
      plan.showBar();
      if (key) plan.tell(read.things.get(key)?.name ?? '');
      htmx.ajax('GET', `${base}${key ? `?focus=${key}` : ''}`, { source: section, target: '#page-part', swap: 'innerHTML' });
    },
    save(key, { rings, at }) {
      const thing = read.things.get(key);
      const measured = plan.measured();
      sender.push({ key, path: `${base}/drawn/${thing.kind}/${thing.id}`, values: { version: thing.version, focus: key, ...fieldsOf(thing, rings, at, measured) } });
    },
    shift(key, [east, north]) {
      const thing = read.things.get(key);
      sender.push({ key, path: `${base}/drawn/${thing.kind}/${thing.id}/move`, values: { version: thing.version, focus: key, part: thing.part ?? '', east, north } });
    },
    make(kind, values) {
      const [part, name] = kind.split('/');
      const site = part === 'site' ? section.dataset : null;
      const path = site ? `${base}/drawn/site/${site.site}` : `${base}/draw/${part}`;
      const known = site ? { version: JSON.parse(document.getElementById('drawing').dataset.plan).site_version, focus: `${name}:${site.site}` } : {};
      sender.push({ key: `new ${kind}`, made: true, path, values: { ...values, ...known } });
    },
    /** A shape reworked as a whole by the server, at its own address. */
    shape(key, act, values) {
      const [kind, id] = key.split(':');
      sender.push({ key, made: true, path: `${base}/shape/${kind}/${id}/${act}`, values: { ...values, version: read.things.get(key).version } });
    },
    picture(key, act, values) {
      const thing = read.things.get(key);
      sender.push({ key, made: true, path: `${base}/underlay/${thing.id}/${act}`, values: { ...values, version: thing.version } });
    },
    waits: (key) => sender.waits(key),
    forget: (key) => sender.forget(key),
  };

  const sender = senderOf(section, {
    saved: (change) => tool.saved?.(change),
    refused: (change) => { if (change.made || change.key === read.focus) tool.refusedNow?.(change); },
    unsent: () => { section.querySelector('[data-does="send_again"]').hidden = false; },
  });

  const stepPicked = () => section.querySelector('[data-step]').value;

  // ---- how it lies

  function lay(view) {
    plan.view = view;
    overlay.place(matrixOf(view));
    ground.lay(view, read.system, size());
    const { drawing } = read;
    if (drawing) drawing.svg.style.transform = drawingTransform(view, drawing);
  }

  let enlarged = {};

  /** Bubbles are links too, for keyboard and screen reader: each stays as large as a finger, however small the plan. */
  function enlarge() {
    if (!read.drawing) return;
    const { svg, scale } = read.drawing;
    const radius = String(Math.ceil(FINGER * Math.max(1, scale / plan.view.k)));
    if (enlarged.svg === svg && enlarged.radius === radius) return; // a finger that rests on the paper changes none
    enlarged = { svg, radius };
    for (const ring of svg.querySelectorAll('a > circle:first-child')) ring.setAttribute('r', radius);
  }

  const size = () => [window_.clientWidth, window_.clientHeight];

  function fit() {
    const [width, height] = size();
    const { drawing } = read;
    const box = drawing ? boxOfDrawing(drawing) : boxOf(read.things) ?? boxOfEmpty(read.empty);
    const inner = fitted(box, Math.max(width - 2 * sides(width), 100), Math.max(height - AROUND.top - AROUND.bottom, 100));
    lay(panned(inner, sides(width), AROUND.top));
    tall = height;
    whole = true;
    settle();
  }

  /** A panel takes room from the window, it never lies on the drawing: what was in the middle stays there. */
  function rise() {
    const before = tall;
    [, tall] = size();
    if (!plan.view || tall === before) return;
    if (whole) fit();
    else lay(panned(plan.view, 0, (tall - before) / 2));
    tool?.redraw();
  }

  /** When the paper rests, the server draws it at the size at which it is seen, so that lettering keeps its size. */
  function settle() {
    clearTimeout(settling);
    enlarge();
    delete section.dataset.resting;
    settling = setTimeout(() => {
      if (gestures.busy()) { settle(); return; }
      if (widthWanted() !== read.width) {
        refit = whole;
        htmx.ajax('GET', `${base}/drawing${read.focus ? `?focus=${read.focus}` : ''}`, { source: section, target: '#drawing', swap: 'outerHTML' });
      } else section.dataset.resting = 'yes';
    }, REST);
  }

  function widthWanted() {
    const { drawing, width } = read;
    const wanted = Math.round(Math.min(Math.max(drawing ? widthSeen(drawing, plan.view.k) : size()[0], 300), 2000));
    const rough = wanted > width * ROUGHER || wanted * ROUGHER < width;
    return rough ? wanted : width;
  }

  document.addEventListener('htmx:configRequest', ({ detail }) => {
    if (plan.view) detail.headers['X-Outlay-Width'] = String(widthWanted());
  });

  const gestures = listen(window_, {
    grab: (at, kind) => { plan.pressed = at; strip.dismiss(); return tool.grab(at, kind); },
    drag: (at, kind) => tool.drag(at, kind),
    drop: (at, kind) => { tool.drop(at, kind); loupe.hide(); },
    giveUp: () => { tool.giveUp?.(); loupe.hide(); },
    tap: (at, kind) => tool.tap(at, kind),
    hover: (at, kind) => tool.hover?.(at, kind),
    pan: (dx, dy) => { whole = false; lay(panned(plan.view, dx, dy)); overlay.read(plan.view); },
    zoom: (factor, at) => { whole = false; lay(zoomed(plan.view, factor, at)); overlay.read(plan.view); },
    settle,
  });

  // ---- what is pressed

  const zoomBy = (factor) => {
    const [width, height] = size();
    whole = false;
    lay(zoomed(plan.view, factor, [width / 2, height / 2]));
    tool.redraw();
    settle();
  };
  const making = makingOf(plan, strip.picked);
  const reworking = reworkingOf(plan, strip);
  const does = {
    panel: () => strip.lower(),
    more: (button) => strip.open('more', button),
    rework: (button) => { strip.close(); reworking[button.value](); if (button.value !== 'set_off') window_.focus(); },
    draw: (button) => strip.open('draw', button),
    view: (button) => strip.open('view', button),
    layer: (button) => { showLayers(toggled(button.value)); },
    make: (button) => { strip.begin(button.value); plan.useTool(making[button.value]()); window_.focus(); },
    fit: () => { fit(); tool.redraw(); },
    nearer: () => zoomBy(1.4),
    further: () => zoomBy(1 / 1.4),
    reshape: () => plan.use('reshape'),
    move: () => plan.use('move'),
    send_again: (button) => { button.hidden = true; sender.again(); },
  };

  section.addEventListener('click', (event) => {
    const button = event.target.closest('[data-does]');
    if (button) {
      const act = tool.does?.[button.dataset.does] ?? does[button.dataset.does];
      act?.(button);
      return;
    }
    const link = event.target.closest('a[href*="focus="]');
    if (!link || !window_.contains(link)) return;
    event.preventDefault(); // a finger or a mouse has tapped already; a key has not
    if (event.detail === 0 && tool.name === 'look') plan.select(/focus=([^&#]+)/.exec(link.getAttribute('href'))[1]);
  });

  window_.addEventListener('keydown', (event) => {
    if (event.target !== window_ || event.altKey) return;
    if ((event.ctrlKey || event.metaKey) && event.key === 'z') {
      event.preventDefault();
      document.querySelector('#undo button')?.click();
      return;
    }
    if (event.ctrlKey || event.metaKey) return;
    const zoom = { '=': 1.4, '+': 1.4, '-': 1 / 1.4 }[event.key];
    if (tool.key?.(event)) event.preventDefault();
    else if (zoom) zoomBy(zoom);
    else if (event.key === '0') does.fit();
  });

  // ---- layers: shown or hidden in this browser

  const hidden = () => new Set((localStorage.getItem(LAYERS_KEY) ?? '').split(' ').filter(Boolean));
  function toggled(name) {
    const all = hidden();
    if (!all.delete(name)) all.add(name);
    return all;
  }
  function showLayers(all) {
    localStorage.setItem(LAYERS_KEY, [...all].join(' '));
    window_.dataset.hides = [...all].join(' ');
    for (const button of section.querySelectorAll('[data-does="layer"]')) button.setAttribute('aria-pressed', String(!all.has(button.value)));
  }
  showLayers(hidden());

  /** A typed length and direction, read by the server as everywhere; what it does not understand it says. */
  async function typedStretch(bearing) {
    const words = new URLSearchParams({ length: strip.text('length'), direction: strip.text('direction') || String(bearing) });
    const answer = await fetch(`${base}/stretch?${words}`).catch(() => null);
    const said = await answer?.json().catch(() => null);
    document.getElementById('canvas-said').textContent = answer?.ok ? '' : said?.sentence ?? texts.not_answering;
    if (!answer?.ok) return null;
    strip.clear('length', 'direction');
    return said;
  }
  strip.onEnter(() => tool.does?.stretch?.());
  strip.onPick(() => { if (tool.name !== 'look' && !tool.hasDrawn?.() && strip.making) plan.useTool(making[strip.making]()); });

  section.querySelector('[data-step]').addEventListener('change', ({ target }) => localStorage.setItem(STEP_KEY, target.value));

  // ---- what the server answers

  function renewed() {
    const figure = document.getElementById('drawing');
    if (!figure || figure === read.figure) return;
    read = { ...readPlan(figure), figure };
    ground.point(read.north);
    lay(plan.view);
    if (refit && whole) fit();
    else settle();
    refit = false;
    if (tool?.refresh) tool.refresh();
    else tool?.redraw();
    plan.showBar();
  }
  for (const name of ['htmx:oobAfterSwap', 'htmx:afterSwap']) document.addEventListener(name, renewed);

  // ---- begin

  read.figure = document.getElementById('drawing');
  const kept = localStorage.getItem(STEP_KEY);
  if (kept in STEPS) section.querySelector('[data-step]').value = kept;
  window_.setAttribute('role', 'application');
  tool = look(plan);
  ground.point(read.north);
  let wide;
  [wide, tall] = size();
  new ResizeObserver(() => {
    if (!size()[0] || size()[0] === wide) return; // a keyboard that opens changes the height only
    [wide] = size();
    fit();
    tool.redraw();
  }).observe(window_);
  fit();
  plan.use('look');
  section.dataset.ready = 'yes';
}

/** How wide the drawing is when drawn as large as it is seen [px]: the room around it is the same at any scale. */
function widthSeen({ width, scale }, k) {
  const inner = ((width - 2 * drawnAround(width)) * k) / scale;
  return inner + 2 * drawnAround(inner + 2 * drawnAround(0));
}

/** What is drawn [ft], without the room around it: it is the same at whatever size it was drawn. */
function boxOfDrawing({ scale, west, north, width, height }) {
  const edge = drawnAround(width) / scale;
  return [west + edge, north - height / scale + edge, west + width / scale - edge, north - edge];
}

function boxOfEmpty({ scale, west, north }) {
  return [west, north - 480 / scale, west + 720 / scale, north];
}

/** What a changed thing sends: an outline as curve WKT, a line as its points and rises, a thing at a point as that. */
function fieldsOf(thing, rings, at, measured) {
  if (at) return { x: at[0], y: at[1] };
  if (!rings[0].closed) return { ...lineFields(rings[0]), measured };
  const field = thing.part || 'outline';
  return { [`${field}.wkt`]: wktOf(rings), ...(thing.part ? {} : { measured }) };
}
