// The whole class on one line, for the strip of the player and for the foot of
// the big screen: the ground once thin, and once heavy as far as it is walked.

function overview(svg, width, height) {
  const x = t => t / data.length * width;
  const span = Math.max(6, inclines.high - inclines.low);
  const y = s => height - 6 - (s.incline - inclines.low) / span * (height - 20);
  const ends = [data.stretches[0], data.stretches.at(-1)];
  const land = [{ ...ends[0], incline: grounds[0].incline }, ...grounds, { ...ends[1], incline: grounds.at(-1).incline }];
  const d = terrain(land, x, y), clip = svg.id + '-walked';
  svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
  const walked = make('rect', { x: -4, y: 0, width: 4, height });
  const dot = make('circle', { r: Math.max(5, height / 9), class: 'marker' });
  const path = make('clipPath', { id: clip });
  path.append(walked);
  svg.replaceChildren(path, make('path', { d, class: 'ahead' }), make('path', { d, class: 'walked', 'clip-path': `url(#${clip})` }), dot);
  return t => {
    walked.setAttribute('width', 4 + x(t));
    dot.setAttribute('cx', x(t).toFixed(1));
    dot.setAttribute('cy', (y(land[stretchAt(t)]) - 1).toFixed(1));
  };
}

// The strip: the whole class, with the part that the drawing shows.
let stripFollows = () => {};
function strip() {
  const width = el('strip').clientWidth || 300;
  stripFollows = overview(el('strip-land'), width, 34);
  stripFollows(time.now());
  window.dispatchEvent(new Event('viewed'));
}
window.addEventListener('viewed', () => {
  el('seen').style.left = view.from / data.length * 100 + '%';
  el('seen').style.width = Math.min(1, span() / data.length) * 100 + '%';
});

let told = '';
followers.push(t => {
  stripFollows(t);
  const text = clock(t).slice(0, -2) + ', ' + data.stretches[stretchAt(t)].name;
  if (text === told) return; // once a second
  told = text;
  el('strip').setAttribute('aria-valuenow', Math.round(t));
  el('strip').setAttribute('aria-valuetext', text);
});
el('strip').setAttribute('aria-valuemax', Math.round(data.length));
el('strip').addEventListener('pointerdown', e => {
  const r = el('strip').getBoundingClientRect(), go = e => time.go((e.clientX - r.left) / r.width * data.length);
  go(e);
  el('strip').setPointerCapture(e.pointerId);
  el('strip').onpointermove = go;
  el('strip').onpointerup = el('strip').onpointercancel = () => { el('strip').onpointermove = null; };
});

// The big screen.
const big = { box: el('screen'), open: false, shown: -1, lock: null, follows: () => {}, before: null };

// targetLines fills a list with the targets of a stretch, and under them what the levels
// make of its speed.
function targetLines(box, lines) {
  box.replaceChildren(...lines.map(texts => {
    const line = document.createElement('li');
    line.append(...texts.map(([cls, text]) => labelled(cls, text)));
    return line;
  }));
}

function labelled(cls, text) {
  const e = document.createElement('span');
  e.className = cls;
  e.textContent = text;
  return e;
}

// project shows the time t on the big screen.
function project(t) {
  if (!big.open) return;
  const i = stretchAt(t), s = data.stretches[i], next = data.stretches[i + 1];
  if (i !== big.shown) {
    big.shown = i;
    write(el('screen-name'), s.name);
    write(el('screen-set'), s.count);
    const lines = [];
    if (s.ground) lines.push([...s.targets.parts.map(p => ['part', p]), ...(s.targets.own ? [['own', s.targets.own]] : [])]);
    if (s.levels) lines.push(s.levels.map(l => ['level', l]));
    targetLines(el('screen-targets'), lines);
    el('screen-targets').style.setProperty('--lines', Math.max(1, lines.length));
    el('screen-targets').style.setProperty('--letters', Math.max(20, ...lines.map(line => line.map(([, text]) => text).join('--').length)));
    const after = next && next.ground ? `${next.name}, ${next.targets.parts.join(', ')}` : '';
    write(el('screen-when'), next ? (next.ground ? `at ${next.clock}` : `at ${data.total}`) : '');
    write(el('screen-next'), next ? (next.ground ? after : (s.speed === 'floor' ? '' : 'slow down, ') + 'the end of the class') : 'well done');
  }
  // Rounded up: a second is shown until it is over, and the change comes on 0:00.
  const left = minutes(Math.ceil(Math.max(0, s.to - t) - 1e-3));
  write(el('screen-left'), left);
  big.box.style.setProperty('--wide', Math.max(4, left.length));
  write(el('screen-clock'), `${minutes(Math.max(0, Math.min(t, data.end) - data.zero))} of ${data.total}`);
  big.follows(t);
}
followers.push(project);

function sizeScreen() {
  if (!big.open) return;
  const r = el('screen-land').getBoundingClientRect();
  big.follows = overview(el('screen-land'), r.width, r.height);
  project(time.now());
}
new ResizeObserver(sizeScreen).observe(el('screen-land'));

// stayAwake keeps the screen from sleeping, where the browser can.
async function stayAwake() {
  if (!navigator.wakeLock || !big.open || document.visibilityState !== 'visible') return;
  try {
    big.lock = await navigator.wakeLock.request('screen');
  } catch { /* a battery that runs low forbids it; the class goes on */ }
}
document.addEventListener('visibilitychange', () => { stayAwake(); follow(); });

function openScreen() {
  big.before = document.activeElement;
  big.open = true;
  big.shown = -1;
  big.box.hidden = false;
  for (const e of el('page').parentElement.children) if (e !== big.box) e.inert = true;
  big.box.focus();
  if (big.box.requestFullscreen) big.box.requestFullscreen().catch(() => {});
  sizeScreen();
  stayAwake();
}

function closeScreen() {
  if (!big.open) return;
  big.open = false;
  big.box.hidden = true;
  for (const e of el('page').parentElement.children) e.inert = false;
  if (big.lock) big.lock.release();
  big.lock = null;
  // Nothing else takes the focus before the full screen is left.
  const left = document.fullscreenElement ? document.exitFullscreen().catch(() => {}) : Promise.resolve();
  left.then(() => big.before.focus());
}
el('big').addEventListener('click', openScreen);
el('screen-close').addEventListener('click', closeScreen);
big.box.addEventListener('click', e => { if (e.target !== el('screen-close')) time.toggle(); });
document.addEventListener('fullscreenchange', () => { if (!document.fullscreenElement) closeScreen(); });

// The pointer and the way out are seen only while the pointer moves.
let rest = 0;
big.box.addEventListener('pointermove', () => {
  big.box.classList.add('stirred');
  clearTimeout(rest);
  rest = setTimeout(() => big.box.classList.remove('stirred'), 2500);
});

measure(); // from here on there is something to move
