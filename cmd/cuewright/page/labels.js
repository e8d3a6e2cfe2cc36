// Where the texts of the calls lie. A text hangs from the start of its call by a
// thin line, in the first row where it hits no other text and no other's line;
// going from the last call to the first lets close calls hang as a staircase.

const fonts = {}; // class -> CSS font and spacing, read once from the style sheet
const widths = new Map();
const pen = document.createElement('canvas').getContext('2d');

function textWidth(text, cls) {
  const key = cls + '\n' + text;
  let w = widths.get(key);
  if (w === undefined) {
    if (!fonts[cls]) {
      const probe = make('text', { class: cls });
      el('landscape').appendChild(probe);
      const style = getComputedStyle(probe);
      fonts[cls] = { font: `${style.fontStyle} ${style.fontWeight} ${style.fontSize} ${style.fontFamily}`, spacing: parseFloat(style.letterSpacing) || 0 };
      probe.remove();
    }
    pen.font = fonts[cls].font;
    w = pen.measureText(text).width + fonts[cls].spacing * text.length;
    widths.set(key, w);
  }
  return w;
}

const speech = data.sounds.filter(s => s.lane === 'speech');
// Who gets the room first: what begins and what the plan says, then what comes.
const rank = kind => data.ranks[kind];

// Calls that sound at once are drawn under each other.
const shifts = new Map();
speech.forEach((s, i) => {
  const before = speech[i - 1];
  if (before && before.to > s.from) shifts.set(s, shifts.get(before) ? 0 : 5);
});

// nearest returns the one of a list, sorted from late to early, that starts last
// before b.
function nearest(list, b) {
  let low = 0, high = list.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (list[mid][0] < b) high = mid; else low = mid + 1;
  }
  return list[low];
}

// place returns the row of every call's text at a scale, where it has one, and how
// the flags stand. Each rank chooses after the one before it; every list grows from
// late to early.
function place(scale, { rows, flagRows }) {
  const row = new Map();
  const empty = () => Array.from({ length: rows }, () => [[], [], []]);
  const texts = empty(), lines = empty(); // of each row and rank: [from, to]
  const end = data.length * scale + 2;
  const hit = (ranks, a, b) => ranks.some(list => { const n = nearest(list, b); return n && n[1] > a; });
  for (const pass of [0, 1, 2]) {
    for (let i = speech.length - 1; i >= 0; i--) {
      const s = speech[i];
      if (rank(s.kind) !== pass) continue;
      const a = s.from * scale, b = a + 10 + textWidth(s.text, 'call ' + s.kind);
      if (b > end) continue; // it would run off the paper
      for (let r = 0; r < rows; r++) {
        if (r > 0 && hit(texts[r - 1], a - 2, a + 2)) break; // its line would cross a text
        if (hit(texts[r], a - 2, b) || hit(lines[r], a - 2, b)) continue;
        row.set(s, r);
        texts[r][pass].push([a, b]);
        for (let k = 0; k < r; k++) lines[k][pass].push([a, a]);
        break;
      }
    }
  }
  return { row, rows, scale, flags: placeFlags(scale, flagRows), shift: s => shifts.get(s) || 0 };
}
