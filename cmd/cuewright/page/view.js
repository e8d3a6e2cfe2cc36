// The drawing on the page: which part of the class is seen, how large, and how
// mouse, touch and keys move it.

const view = {
  svg: el('landscape'), sky: el('land'), head: el('head'), marker: el('marker'),
  from: 0,        // the time at the left edge
  scale: 1,       // pixels a second
  layout: null,
  gutter: 0,      // for the names of the lanes
  drawn: null,    // what the group holds: { from, to, scale, placed }
  whole: true,    // the whole class is shown, whatever the width
};

// The closest look: a second is this wide.
const closest = 160;

function fit() { return (view.layout.width - view.gutter) / data.length; }

// measure makes the layout for the present width.
function measure() {
  const width = Math.max(280, view.svg.parentElement.clientWidth);
  if (view.layout && view.layout.width === width) return;
  const middle = view.layout ? view.from + span() / 2 : 0;
  view.gutter = width < 600 ? 54 : 64;
  view.layout = layout(width, width < 600 ? 7 : 9, view.gutter);
  view.svg.setAttribute('height', view.layout.height);
  view.svg.setAttribute('viewBox', `0 0 ${width} ${view.layout.height}`);
  el('pane').setAttribute('x', view.gutter);
  el('pane').setAttribute('width', width - view.gutter);
  el('pane').setAttribute('height', view.layout.height);
  el('lanes').replaceChildren(...laneNames(view.layout, view.gutter - 8));
  view.drawn = null;
  show(view.whole ? 0 : middle - span() / 2, view.whole ? 0 : view.scale);
  strip();
}

// span is how many seconds are seen.
const span = () => (view.layout.width - view.gutter) / view.scale;

// laneNames are the names of what is drawn, for the left of a layout.
function laneNames(p, x) {
  const rows = [['speed', (p.skyTop + p.skyBottom) / 2 + 4], [graded ? 'incline' : 'ground', p.low + 4], ['clock', p.clock + 4],
    ['voice', p.voice + 4], ['count', p.count + 4]];
  if (data.stretches.some(s => s.click)) rows.push(['click', p.click + 4]);
  if (data.flags.some(f => f.from >= 0)) rows.push(['check', p.flags + 4]);
  return rows.map(([name, y]) => make('text', { x, y, class: 'lane' }, name));
}

// show moves the drawing so that from is at the left edge, at a scale; both are
// kept where there is something to see.
function show(from, scale) {
  const least = fit();
  view.scale = Math.min(Math.max(scale, least), Math.max(closest, least));
  view.whole = view.scale <= least * 1.001;
  view.from = Math.max(0, Math.min(from, data.length - span()));
  const d = view.drawn;
  // The group holds more than is seen: moving within it is one transform.
  if (!d || d.scale !== view.scale || view.from < d.from || view.from + span() > d.to + 1e-6) {
    const a = Math.max(0, view.from - span() / 3), b = Math.min(data.length, view.from + span() * 4 / 3);
    const placed = d && d.scale === view.scale ? d.placed : place(view.scale, view.layout);
    view.sky.replaceChildren(draw(view.layout, a, b, view.scale, placed));
    view.drawn = { from: a, to: b, scale: view.scale, placed };
  }
  view.sky.setAttribute('transform', `translate(${(view.gutter + (view.drawn.from - view.from) * view.scale).toFixed(2)} 0)`);
  el('out').disabled = el('whole').disabled = view.whole;
  el('earlier').disabled = view.from <= 0;
  el('later').disabled = view.from + span() >= data.length - 1e-6;
  el('in').disabled = view.scale >= Math.max(closest, least);
  window.dispatchEvent(new Event('viewed'));
  moveHead(time.now());
}

// zoom keeps the time at a place of the screen where it is.
function zoom(factor, x = (view.layout.width + view.gutter) / 2) {
  const at = view.from + (x - view.gutter) / view.scale;
  const scale = Math.min(Math.max(view.scale * factor, fit()), Math.max(closest, fit()));
  show(at - (x - view.gutter) / scale, scale);
}

const pan = part => show(view.from + part * span(), view.scale);

// reveal brings a time into sight, near enough to read the calls around it.
function reveal(t, scale = Math.max(view.scale, Math.min(8, (view.layout.width - view.gutter) / 40))) {
  show(t - (view.layout.width - view.gutter) / scale / 2, scale);
}

// moveHead draws the play head; while the class runs the drawing goes along.
function moveHead(t) {
  const x = view.gutter + (t - view.from) * view.scale;
  view.head.setAttribute('transform', `translate(${x.toFixed(2)} 0)`);
  view.head.dataset.at = t.toFixed(4);
  view.head.toggleAttribute('hidden', x < view.gutter - 1 || x > view.layout.width + 1);
  const p = view.layout, s = data.stretches[stretchAt(t)];
  const ground = s.ground ? s : t < data.zero ? grounds[0] : grounds.at(-1);
  view.marker.setAttribute('cy', (groundY(p, ground) - 7).toFixed(1));
  el('playhead').setAttribute('d', `M0 ${p.sets + 14}V${p.flags - 10}`);
}

const still = matchMedia('(prefers-reduced-motion: reduce)');
followers.push(t => {
  if (time.playing && !view.whole && el('along').checked && !pointers.size) {
    const at = (t - view.from) / span();
    // Glide with the head a third in; with reduced motion turn pages instead.
    if (still.matches ? at < 0 || at > 0.92 : Math.abs(at - 1 / 3) > 0.002) {
      show(t - span() * (still.matches ? 0.08 : 1 / 3), view.scale);
      return;
    }
  }
  moveHead(t);
});

// The call under a point of the drawing: its stroke, or its text.
function callAt(x, y) {
  const p = view.layout, t = view.from + (x - view.gutter) / view.scale, near = 5 / view.scale;
  if (y > p.count - 12 && y < p.count + 18) {
    return data.sounds.find(s => s.lane === 'count' && t >= s.from - near && t <= Math.max(s.to, s.from + 0.9) + near);
  }
  if (y < p.voice - 9 || y > p.count - 12) return undefined;
  const row = Math.round((y - p.voice - 15) / p.row), placed = view.drawn.placed;
  return speech.find(s => y < p.voice + 9
    ? t >= s.from - near && t <= s.to + near
    : placed.row.get(s) === row && t >= s.from - near && (t - s.from) * view.scale <= textWidth(s.text, 'call ' + s.kind) + 8);
}

const tell = s => `${clock(s.from)} · ${(s.to - s.from).toFixed(1)} s · ${s.kind} · ${s.text}`;

// Pointers: one drags, two pinch, a tap jumps to a call or to the time.
const pointers = new Map();
let moved = 0;
const pointOf = e => { const r = view.svg.getBoundingClientRect(); return { x: e.clientX - r.left, y: e.clientY - r.top }; };

view.svg.addEventListener('pointerdown', e => {
  if (e.button !== 0) return;
  pointers.set(e.pointerId, pointOf(e));
  if (pointers.size === 1) moved = 0;
});
view.svg.addEventListener('pointermove', e => {
  const now = pointOf(e), was = pointers.get(e.pointerId);
  if (!was) {
    const s = callAt(now.x, now.y);
    view.svg.classList.toggle('over', !!s);
    if (s) write(el('readout'), tell(s));
    return;
  }
  moved += Math.abs(now.x - was.x) + Math.abs(now.y - was.y);
  if (moved > 4 && !view.svg.hasPointerCapture(e.pointerId)) view.svg.setPointerCapture(e.pointerId);
  if (pointers.size === 2) {
    const other = [...pointers].find(([id]) => id !== e.pointerId)[1];
    const before = Math.abs(was.x - other.x), after = Math.abs(now.x - other.x);
    if (before > 8 && after > 8) zoom(after / before, (now.x + other.x) / 2);
    show(view.from - (now.x - was.x) / 2 / view.scale, view.scale);
  } else if (moved > 4) {
    show(view.from - (now.x - was.x) / view.scale, view.scale);
  }
  pointers.set(e.pointerId, now);
});
for (const end of ['pointerup', 'pointercancel']) {
  view.svg.addEventListener(end, e => {
    if (!pointers.delete(e.pointerId) || end === 'pointercancel' || moved > 4) return;
    const { x, y } = pointOf(e), s = callAt(x, y);
    if (s) write(el('readout'), tell(s));
    if (s || x > view.gutter) time.go(s ? s.from : view.from + (x - view.gutter) / view.scale);
  });
}

// The wheel scrolls the page; with Ctrl (or a pinch on a pad) it zooms, sideways it pans.
view.svg.addEventListener('wheel', e => {
  const unit = e.deltaMode ? 16 : 1;
  if (e.ctrlKey) zoom(Math.exp(-e.deltaY * unit * 0.005), pointOf(e).x);
  else if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) show(view.from + (e.deltaX || e.deltaY) * unit / view.scale, view.scale);
  else return;
  e.preventDefault();
}, { passive: false });

for (const [id, action] of [['in', () => zoom(2)], ['out', () => zoom(0.5)], ['whole', () => show(0, 0)],
  ['earlier', () => pan(-0.5)], ['later', () => pan(0.5)]]) {
  el(id).addEventListener('click', action);
}

// Keys of the drawing, where it has the focus.
el('pane-box').addEventListener('keydown', e => {
  if (e.target !== e.currentTarget || e.ctrlKey || e.altKey || e.metaKey) return;
  const keys = { '+': () => zoom(2), '=': () => zoom(2), '-': () => zoom(0.5), ArrowUp: () => zoom(2), ArrowDown: () => zoom(0.5),
    0: () => show(0, 0), PageUp: () => pan(-0.9), PageDown: () => pan(0.9) };
  if (keys[e.key]) {
    keys[e.key]();
    e.preventDefault();
  }
});

new ResizeObserver(measure).observe(view.svg.parentElement);
