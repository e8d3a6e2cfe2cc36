// The class as a landscape, seen from the side: the ground at the height of the
// incline, the range of speed as a stream over it, and under it the clock and
// what is heard.

// A layout is the form of a drawing: heights in pixels from its top.
function layout(width, rows, gutter) {
  const small = width < 600;
  const p = { width, small, rows, flagRow: 15, parts: 15, sets: 36, skyTop: 72, skyBottom: small ? 140 : 168 };
  p.high = p.skyBottom + 30;              // the steepest ground
  p.low = p.high + (small ? 46 : 62);     // the lowest
  p.clock = p.low + 48;
  p.voice = p.clock + 22;
  p.row = 17;
  p.count = p.voice + 16 + rows * p.row + 10;
  p.click = p.count + (data.stretches.some(s => s.click) ? 26 : 0);
  p.flags = p.click + 30;
  // As many rows of flags as the whole class needs; nearer it is never more.
  p.flagRows = 1 + Math.max(0, ...[...placeFlags((width - gutter) / data.length, 12).values()].map(f => f.row));
  p.height = flags.length ? p.flags + 10 + (p.flagRows - 1) * p.flagRow : p.click + 24;
  return p;
}

const grounds = data.stretches.filter(s => s.ground);
const paced = grounds.filter(s => s.fast); // the others are run by feel
const speeds = { slow: Math.min(...paced.map(s => s.slow)), fast: Math.max(...paced.map(s => s.fast)) };
const inclines = { low: Math.min(0, ...grounds.map(s => s.incline)), high: Math.max(...grounds.map(s => s.incline)) };
const graded = grounds.some(s => s.graded);

function groundY(p, s) {
  const span = Math.max(6, inclines.high - inclines.low);
  return p.low - (s.incline - inclines.low) / span * (p.low - p.high);
}

function speedY(p, metres) {
  const span = speeds.fast - speeds.slow;
  return span > 0 ? p.skyBottom - (metres - speeds.slow) / span * (p.skyBottom - p.skyTop) : (p.skyTop + p.skyBottom) / 2;
}

// terrain returns a path of terraces joined by soft slopes, as wide as there is
// room for at each change; height tells how high a stretch is.
function terrain(list, x, height) {
  let d = '';
  list.forEach((s, i) => {
    const y = height(s), from = x(s.from), to = x(s.to), wide = to - from;
    const slope = k => k ? Math.min(9, wide * 0.3, (x(k.to) - x(k.from)) * 0.3) : 0;
    const before = list[i - 1], after = list[i + 1];
    if (!before) d += `M${from.toFixed(1)} ${y.toFixed(1)}`;
    const end = to - slope(after);
    d += `H${end.toFixed(1)}`;
    if (after) {
      const over = to + slope(after);
      d += `C${to.toFixed(1)} ${y.toFixed(1)} ${to.toFixed(1)} ${height(after).toFixed(1)} ${over.toFixed(1)} ${height(after).toFixed(1)}`;
    }
  });
  return d;
}

// hatching are the strokes under the ground, as engravers draw a slope. They
// stand where they stand, however the drawing is moved, and mean nothing.
function hatching(p, list, x, origin, scale) {
  let d = '';
  for (const s of list) {
    const y = groundY(p, s), first = Math.ceil((s.from * scale + 8) / 4), end = Math.floor((s.to * scale - 8) / 4);
    for (let n = first; n <= end; n++) {
      const at = n * 4 - origin * scale, deep = 4 + 11 * Math.abs(Math.sin(n * 0.11)) + 3 * Math.sin(n * 1.3);
      d += `M${at.toFixed(1)} ${(y + 4).toFixed(1)}l-2.5 ${Math.max(3, deep).toFixed(1)}`;
    }
  }
  return d;
}

// draw returns a group with all of the class between two times; x = 0 is from.
// placed is how the texts of the calls lie at this scale (see labels.js).
function draw(p, from, to, scale, placed) {
  const g = make('g'), x = t => (t - from) * scale;
  g.width = p.width; // for names that are written again
  const add = (name, attributes, text) => g.appendChild(make(name, attributes, text));
  const seen = list => list.filter(s => s.to > from && s.from < to);
  // One more at each end, so that slopes at the edges are whole.
  const stages = data.stretches.slice(Math.max(0, last(data.stretches, from) - 1), last(data.stretches, to) + 2);
  const land = stages.filter(s => s.ground);

  const numbers = numbered(scale), sizes = p.small ? [' tight'] : ['', ' tight'];
  for (const [list, y, cls] of [[data.parts, p.parts, 'part'], [data.sets, p.sets, 'set']]) {
    let d = '';
    for (const s of seen(list)) {
      const a = x(s.from), b = x(s.to);
      d += `M${(a + 1.5).toFixed(1)} ${y + 9}v-4H${(b - 1.5).toFixed(1)}v4`;
      const texts = cls === 'set' ? [s.name, s.name.split(' of ')[0]] : [s.name, s.short];
      const told = texts.some(text => sizes.some(size => along(g, s, a, b, y, cls + size, [text])));
      if (!told && numbers.has(s)) {
        add('text', { x: ((a + b - textWidth(s.short, 'set')) / 2).toFixed(1), y, class: 'set' }, s.short);
      }
    }
    add('path', { d, class: cls + '-line' });
  }

  let changes = '';
  for (const s of stages.slice(1)) changes += `M${x(s.from).toFixed(1)} ${p.sets + 14}V${p.count + 8}`;
  add('path', { d: changes, class: 'change' });

  if (land.length) {
    const level = k => s => speedY(p, s.slow + (s.fast - s.slow) * k);
    const runs = []; // of stretches with a speed
    land.forEach((s, i) => {
      if (s.fast && i && land[i - 1].fast) runs.at(-1).push(s);
      else if (s.fast) runs.push([s]);
    });
    const band = heights => runs.map(run => heights.map(k => terrain(run, x, level(k))).join('')).join('');
    add('path', { d: band([1 / 4, 2 / 4, 3 / 4]), class: 'stream' });
    add('path', { d: band([0, 1]), class: 'bank' });
    add('path', { d: hatching(p, land, x, from, scale), class: 'hatch' });
    add('path', { d: terrain(land, x, s => groundY(p, s)), class: 'ground' });
  }
  let shore = '';
  for (const [s, beside] of [[data.stretches[0], grounds[0]], [data.stretches.at(-1), grounds.at(-1)]]) {
    if (s.to > from && s.from < to) shore += `M${x(s.from).toFixed(1)} ${groundY(p, beside).toFixed(1)}H${x(s.to).toFixed(1)}`;
  }
  add('path', { d: shore, class: 'shore' });

  for (const s of stages) {
    const a = x(s.from), b = x(s.to);
    const y = groundY(p, s.ground ? s : s === data.stretches[0] ? grounds[0] : grounds.at(-1));
    const steep = s.graded ? s.incline + ' %' : '';
    along(g, s, a, b, y - 7, s.ground ? 'name' : 'name aside', [s.name + '  ' + steep, s.name, steep]);
    if (s.ground && s.fast) along(g, s, a, b, speedY(p, s.fast) - 6, 'figure', [s.speed + ' ' + data.unit, s.speed]);
    if (s.ground && !s.fast) along(g, s, a, b, (p.skyTop + p.skyBottom) / 2, 'figure', [s.speed]);
  }

  const step = [1, 2, 5, 10, 30, 60, 120, 300, 600, 1800, 3600].find(n => n * scale >= (p.small ? 56 : 72)) || 7200;
  let ticks = '';
  for (let n = Math.max(Math.ceil((from - data.zero) / step), 0); n * step + data.zero <= Math.min(to, data.end) + 0.01; n++) {
    const at = x(n * step + data.zero);
    ticks += `M${at.toFixed(1)} ${p.clock - 2}v5`;
    // At the edges of the paper a number stands beside its line.
    const edge = n * step + data.zero < 18 / scale ? ' first' : n * step + data.zero > data.length - 20 / scale ? ' last' : '';
    add('text', { x: at.toFixed(1), y: p.clock - 6, class: 'clock' + edge }, minutes(n * step));
  }
  add('path', { d: ticks + `M${x(Math.max(from, 0)).toFixed(1)} ${p.clock + 0.5}H${x(Math.min(to, data.length)).toFixed(1)}`, class: 'axis' });

  drawSounds(g, p, from, to, scale, x, placed);
  drawClicks(g, p, stages, x, from, to, scale);
  drawFlags(g, p, x, from, to, placed.flags);
  return g;
}

// numbered returns the sets that have room for their number at a scale: all, or
// every second, fifth, tenth, with the first and, if it can be, the last of a block.
function numbered(scale) {
  const ends = s => {
    const middle = (s.from + s.to) / 2 * scale, half = textWidth(s.short, 'set') / 2 + 3;
    return [middle - half, middle + half];
  };
  const clear = list => list.every((s, i) => !i || ends(list[i - 1])[1] <= ends(s)[0]);
  const every = (n, more) => data.sets.filter((s, i, all) => s.short === '1' || s.short % n === 0 || more && (all[i + 1] || all[0]).short === '1');
  for (const n of [1, 2, 5, 10, 20, 50, 100]) {
    for (const list of [every(n, true), every(n, false)]) if (clear(list)) return new Set(list);
  }
  return new Set();
}

// along writes a name at the start of its stretch, and again where a stretch is
// wider than a screen; the first of the texts that fits. It tells whether one did.
function along(g, s, a, b, y, cls, texts) {
  const pad = cls.endsWith('tight') ? 2 : 5;
  const text = texts.find(t => t && textWidth(t, cls) + 2 * pad <= b - a);
  if (!text) return false;
  const again = b - a > 1.1 * g.width ? Math.max(300, g.width * 0.55) : Infinity;
  for (let at = a + pad; at + textWidth(text, cls) + pad <= b + 0.01; at += again) {
    g.appendChild(make('text', { x: at.toFixed(1), y: y.toFixed(1), class: cls }, text));
  }
  return true;
}

// drawSounds draws every call as a stroke of its true length, with its text
// hung under it where there is room, and every second of a count.
function drawSounds(g, p, from, to, scale, x, placed) {
  let voice = '', leaders = '', count = '', marks = '';
  for (const s of soundsIn(from, to)) {
    const a = x(s.from), b = Math.max(x(s.to), a + 0.6);
    if (s.lane === 'speech') {
      voice += `M${a.toFixed(1)} ${p.voice + placed.shift(s)}H${b.toFixed(1)}`;
      const row = placed.row.get(s);
      if (row === undefined) continue;
      const y = p.voice + 20 + row * p.row;
      leaders += `M${(a + 0.5).toFixed(1)} ${p.voice}V${y + 2}`;
      g.appendChild(make('text', { x: (a + 4).toFixed(1), y, class: 'call ' + s.kind }, s.text));
    } else {
      count += `M${a.toFixed(1)} ${p.count}H${b.toFixed(1)}`;
      if (s.long) marks += `M${a.toFixed(1)} ${p.count - 7}l4 7l-4 7l-4 -7z`;
      else if (scale > 1.6) marks += `M${a.toFixed(1)} ${p.count - 4}v8`;
      if (scale > 34) g.appendChild(make('text', { x: (a + 6).toFixed(1), y: p.count + 15, class: 'call count' }, s.text));
    }
  }
  g.appendChild(make('path', { d: leaders, class: 'leader' }));
  g.appendChild(make('path', { d: voice, class: 'voice' }));
  g.appendChild(make('path', { d: count, class: 'voice' }));
  g.appendChild(make('path', { d: marks, class: 'mark' }));
}

// drawClicks draws the click as the steps it stands for: one foot, the other
// foot; dots in a row where they would run together.
function drawClicks(g, p, stages, x, from, to, scale) {
  let dotted = '', steps = '';
  for (const s of stages.filter(s => s.click)) {
    const beat = 60 / s.cadence;
    if (beat * scale >= 7) {
      for (let k = Math.max(1, Math.floor((from - s.from) / beat)); s.from + k * beat < Math.min(s.to, to); k++) {
        steps += `M${x(s.from + k * beat).toFixed(1)} ${p.click + (k % 2 ? -3 : 3)}h.01`;
      }
    } else {
      dotted += `M${(x(s.from) + 3).toFixed(1)} ${p.click - 2}H${(x(s.to) - 3).toFixed(1)}`;
    }
    along(g, s, x(s.from), x(s.to), p.click + 18, 'figure', [s.cadence + ' steps/min', String(s.cadence)]);
  }
  g.appendChild(make('path', { d: dotted, class: 'steps far' }));
  g.appendChild(make('path', { d: steps, class: 'steps' }));
}

// Flags with a place, in time.
const flags = data.flags.filter(f => f.from >= 0).sort((a, b) => a.from - b.from || b.number - a.number);
const flagWidth = 14; // the width of one, and what parts it from its number

// placeFlags returns where every flag stands at a scale, so that each number can be read:
// its row, and whether it flies to the left, at the right edge. As with texts, going
// from the last to the first lets near ones hang as a staircase, no pole through another.
function placeFlags(scale, rows) {
  const place = new Map(), put = [], end = data.length * scale;
  for (let i = flags.length - 1; i >= 0; i--) {
    const f = flags[i], at = f.from * scale, wide = flagWidth + textWidth(String(f.number), 'figure') + 3;
    const left = at + wide > end, a = left ? at - wide : at, b = left ? at : at + wide;
    const free = row => put.every(o => o.row === row ? o.b <= a || o.a >= b
      : o.row < row ? at <= o.a + 1 || at >= o.b - 1   // its pole passes a higher one
      : o.at <= a + 1 || o.at >= b - 1);               // a lower one's pole passes it
    let row = 0;
    while (row < rows && !free(row)) row++;
    if (row === rows) continue; // seen from nearer
    put.push({ row, at, a, b });
    place.set(f, { row, left });
  }
  return place;
}

// drawFlags draws each problem at its place: its stretch on the voice's line, a
// pole, and a flag with its number, full for an error, hollow for a warning.
function drawFlags(g, p, x, from, to, hoisted) {
  let poles = '', spans = '', full = '', hollow = '';
  for (const f of flags) {
    if (f.to < from || f.from > to) continue;
    const a = x(f.from), b = x(f.to), place = hoisted.get(f), y = p.flags + (place ? place.row * p.flagRow : 0);
    poles += `M${a.toFixed(1)} ${p.voice - 8}V${y + 7}`;
    if (b - a > 1) spans += `M${a.toFixed(1)} ${p.voice - 8}v5M${a.toFixed(1)} ${p.voice - 5.5}H${b.toFixed(1)}M${b.toFixed(1)} ${p.voice - 8}v5`;
    if (!place) continue;
    const side = place.left ? -1 : 1, cloth = `M${a.toFixed(1)} ${y - 7}l${side * 11} 4.5l${side * -11} 4.5z`;
    if (f.error) full += cloth; else hollow += cloth;
    if (f.from < from) continue;
    const at = place.left ? a - flagWidth - textWidth(String(f.number), 'figure') : a + flagWidth;
    g.appendChild(make('text', { x: at.toFixed(1), y: y + 2, class: 'figure flag' }, f.number));
  }
  g.appendChild(make('path', { d: poles, class: 'pole' }));
  g.appendChild(make('path', { d: spans, class: 'span' }));
  g.appendChild(make('path', { d: hollow, class: 'warning' }));
  g.appendChild(make('path', { d: full, class: 'error' }));
}
