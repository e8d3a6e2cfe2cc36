// The player: the track where there is one, captions, keys, links to places.

// Captions tell what sounds now, and what is called next.
let caption = null;
followers.push(t => {
  const now = soundsIn(t, t + 1e-6).map(s => s.text).join(' / ');
  const next = speech[last(speech, t) + 1];
  const i = stretchAt(t), s = data.stretches[i];
  write(el('time'), clock(t));
  write(el('where'), (s.count ? `${s.name}, ${s.count}` : s.name));
  write(el('remains'), minutes(Math.ceil(Math.max(0, s.to - t) - 1e-3)) + ' left');
  const key = now + '\n' + (next ? next.from : '');
  if (key === caption) return;
  caption = key;
  write(el('caption'), now);
  write(el('coming'), next ? `${clock(next.from).replace(/\.\d$/, '')}  ${next.text}` : '');
});

// The track: found by name beside the page, or chosen.
const names = [...time.audio.querySelectorAll('source')].map(s => s.getAttribute('src'));

function heard(name) {
  time.at = time.now();
  time.sound = true;
  const off = Math.abs(time.audio.duration - data.length);
  write(el('source'), off < 0.5 ? `Track: ${name}`
    : `Track: ${name}. It lasts ${minutes(time.audio.duration)}, this class ${minutes(data.length)}: it may be another one’s.`);
  time.audio.currentTime = time.at;
  if (time.playing) time.audio.play().catch(() => {});
  follow();
}
function silent(text) {
  time.at = time.now();
  time.since = performance.now();
  time.sound = false;
  write(el('source'), text);
  follow();
}
const label = url => decodeURIComponent(url.split('/').pop());
let chosen = '';
time.audio.addEventListener('loadedmetadata', () => heard(chosen || label(time.audio.currentSrc)));
time.audio.addEventListener('error', () => silent(`${chosen} cannot be played here. The class runs without sound.`));
const tried = time.audio.querySelector('source:last-of-type');
const none = () => silent('No track lies beside this page yet. The class runs without sound; choose a track to hear it.');
if (tried) tried.addEventListener('error', none); else none();
// It may have been found, or not, before this script ran.
if (time.audio.readyState >= 1) heard(label(time.audio.currentSrc));
else if (time.audio.networkState === HTMLMediaElement.NETWORK_NO_SOURCE) none();

time.audio.addEventListener('play', () => { if (!time.playing) { time.playing = true; requestAnimationFrame(tick); } });
time.audio.addEventListener('pause', () => { if (time.sound) time.playing = false; follow(); });
for (const e of ['seeking', 'seeked', 'ended']) time.audio.addEventListener(e, follow);

el('choose').addEventListener('change', e => {
  const file = e.target.files[0];
  if (!file) return;
  chosen = file.name;
  time.audio.src = URL.createObjectURL(file);
});

followers.push(() => {
  write(el('play'), time.playing ? 'Pause' : 'Play');
});

// before and after a segment's start; a little grace, so that pressing twice goes back twice.
function segment(by) {
  const t = time.now(), i = stretchAt(t);
  if (by > 0) time.go(i + 1 < data.stretches.length ? data.stretches[i + 1].from : data.length);
  else time.go(data.stretches[t - data.stretches[i].from > 2 ? i : Math.max(0, i - 1)].from);
}

for (const [id, action] of [['play', () => time.toggle()], ['back', () => time.go(time.now() - 5)], ['on', () => time.go(time.now() + 5)],
  ['previous', () => segment(-1)], ['next', () => segment(1)], ['print', () => window.print()]]) {
  el(id).addEventListener('click', action);
}

// Keys everywhere but where they have a meaning of their own.
document.addEventListener('keydown', e => {
  if (e.ctrlKey || e.altKey || e.metaKey || e.defaultPrevented) return;
  if (e.key === 'Escape' && big.open) return closeScreen();
  const own = e.target.closest('input, select, textarea, summary, a, button');
  if (e.key === ' ' && !own) {
    time.toggle();
  } else if ((e.key === 'ArrowLeft' || e.key === 'ArrowRight') && !(own && own.matches('input:not([type=checkbox]), select, textarea'))) {
    const by = e.key === 'ArrowLeft' ? -1 : 1;
    if (e.shiftKey) segment(by); else time.go(time.now() + 5 * by);
  } else if (e.target === el('strip') && (e.key === 'Home' || e.key === 'End')) {
    time.go(e.key === 'Home' ? 0 : data.length);
  } else {
    return;
  }
  e.preventDefault();
});

// Calls, segments and problems of the lists lead to their places.
document.addEventListener('click', e => {
  const from = e.target.closest('[data-at]');
  if (!from) return;
  const t = Number(from.dataset.at);
  time.go(t);
  if (from.dataset.flag) {
    e.preventDefault();
    if (from.dataset.flag === 'place') reveal(t); else show(0, 0);
    el('pane-box').focus({ preventScroll: true });
    el('class-section').scrollIntoView({ block: 'start' });
  } else if (t < view.from || t > view.from + span()) {
    reveal(t, view.scale);
  }
});

// The print sheet has a drawing of its own, as wide as the paper.
function drawPrint() {
  const long = document.body.classList.contains('long');
  const gutter = 60, p = long ? layout(1240, 6, gutter) : layout(1040, 9, gutter), scale = (p.width - gutter) / data.length;
  const g = draw(p, 0, data.length, scale, place(scale, p));
  g.setAttribute('transform', `translate(${gutter} 0)`);
  el('printed').setAttribute('viewBox', `0 0 ${p.width} ${p.height}`);
  el('printed').replaceChildren(g, ...laneNames(p, gutter - 8));
}
window.addEventListener('beforeprint', drawPrint);

el('theme').addEventListener('click', () => {
  const root = document.documentElement.dataset;
  const dark = root.theme ? root.theme === 'dark' : matchMedia('(prefers-color-scheme: dark)').matches;
  root.theme = dark ? 'light' : 'dark';
});

follow();
