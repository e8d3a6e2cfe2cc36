'use strict';
// What all of the page uses: the class as data, names and numbers in text, and
// the clock that everything follows. Text of a plan only ever becomes text: no
// markup is made of strings.

const data = JSON.parse(document.getElementById('class').textContent);
const el = id => document.getElementById(id);

// make returns an SVG element.
function make(name, attributes = {}, text) {
  const e = document.createElementNS(el('landscape').namespaceURI, name);
  for (const k in attributes) e.setAttribute(k, attributes[k]);
  if (text !== undefined) e.textContent = text;
  return e;
}

// minutes writes seconds as m:ss, with hours as h:mm:ss.
function minutes(seconds) {
  const s = Math.floor(seconds + 1e-6), two = n => String(n).padStart(2, '0');
  return s < 3600 ? Math.floor(s / 60) + ':' + two(s % 60)
    : Math.floor(s / 3600) + ':' + two(Math.floor(s / 60) % 60) + ':' + two(s % 60);
}

// clock writes a time of the track as class time with tenths, as the list of calls does.
function clock(at) {
  let t = at - data.zero, sign = '';
  if (t < 0) { sign = '-'; t = -t; }
  const tenths = sign ? Math.ceil(t * 10 - 1e-6) : Math.floor(t * 10 + 1e-6);
  if (tenths === 0) sign = '';
  const two = n => String(n).padStart(2, '0');
  return sign + two(Math.floor(tenths / 600)) + ':' + two(Math.floor(tenths / 10) % 60) + '.' + tenths % 10;
}

// last returns the index of the last of a list that starts at t or before, or -1.
function last(list, t) {
  let low = 0, high = list.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (list[mid].from <= t) low = mid + 1; else high = mid;
  }
  return low - 1;
}

// Sounds by their start; a counted word begins before its second.
data.sounds.sort((a, b) => a.from - b.from);
data.longest = Math.max(0, ...data.sounds.map(s => s.to - s.from));

// soundsIn returns the sounds heard anywhere between two times.
function soundsIn(from, to) {
  const found = [];
  for (let i = Math.max(0, last(data.sounds, from - data.longest)); i < data.sounds.length && data.sounds[i].from < to; i++) {
    if (data.sounds[i].to > from) found.push(data.sounds[i]);
  }
  return found;
}

// stretchAt is the index of the stretch at a time: 0 is the opening.
const stretchAt = t => Math.max(0, last(data.stretches, t + 1e-6));

// The time of the class: that of the track where there is one, else its own.
const time = {
  audio: el('track'),
  sound: false,          // whether a track can be heard
  playing: false,
  at: 0,                 // where its own clock stood at since
  since: 0,
  now() {
    if (this.sound) return this.audio.currentTime;
    const t = this.playing ? this.at + (performance.now() - this.since) / 1000 : this.at;
    return Math.min(t, data.length);
  },
  go(t) {
    t = Math.min(Math.max(0, t), data.length);
    this.at = t;
    this.since = performance.now();
    if (this.sound) this.audio.currentTime = t;
    follow();
  },
  play() {
    if (this.now() >= data.length - 0.01) this.go(0);
    this.at = this.now();
    this.since = performance.now();
    this.playing = true;
    if (this.sound) this.audio.play().catch(() => { this.playing = false; follow(); });
    follow();
    requestAnimationFrame(tick);
  },
  pause() {
    this.at = this.now();
    this.playing = false;
    if (this.sound) this.audio.pause();
    follow();
  },
  toggle() { this.playing ? this.pause() : this.play(); },
};

// tick moves everything with the time, once a frame.
function tick() {
  if (!time.playing) return;
  if (!time.sound && time.now() >= data.length) time.pause();
  follow();
  requestAnimationFrame(tick);
}

// followers are told the time whenever it moves.
const followers = [];
function follow() {
  const t = time.now();
  for (const f of followers) f(t);
}

// write sets a text only where it changed, so that nothing is laid out in vain.
function write(e, text) {
  if (e.textContent !== text) e.textContent = text;
}
