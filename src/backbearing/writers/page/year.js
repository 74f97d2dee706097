"use strict";
// The year's tables as the page holds them: two letters a number (see chosen.py). Nothing is
// worked out here: each reader gives rows that the plan has put there.
const yearTables = (data) => {
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  const pair = (text, at) => LETTERS.indexOf(text[at]) * 64 + LETTERS.indexOf(text[at + 1]);
  const clock = (minute) => {
    const two = (number) => String(number).padStart(2, "0");
    return `${two(minute === 1440 ? 24 : Math.floor(minute / 60) % 24)}:${two(minute % 60)}`;
  };
  const stretches = (subject, day) => {
    const text = subject.tones[day], found = [];
    for (let at = 0; at < text.length; at += 5)
      found.push([pair(text, at), pair(text, at + 2), Number(text[at + 4])]);
    return found;
  };
  // the sun of a day: [clock, azimuth, altitude, near the camera's line, tone]
  const minutes = (subject, day) => {
    const text = subject.sun[day], tones = stretches(subject, day), found = [];
    for (let at = 0; at < text.length;) {
      const first = pair(text, at), count = pair(text, at + 2);
      at += 4;
      for (let row = 0; row < count; row++, at += 4) {
        const minute = first + row * data.step, lifted = pair(text, at + 2);
        const tone = tones.find(([a, b]) => a <= minute && minute < b);
        found.push([minute, pair(text, at) / 10, (Math.floor(lifted / 2) - data.lift) / 10,
          lifted % 2 === 1, tone ? tone[2] : 0]);
      }
    }
    return found;
  };
  // seconds of a day: [clock, clear, overcast]; [] where the page holds none
  const seconds = (subject, day) => {
    const text = subject.seconds[day] || "", found = [];
    for (let at = 0; at < text.length; at += 6)
      found.push([pair(text, at), data.texts[pair(text, at + 2)], data.texts[pair(text, at + 4)]]);
    return found;
  };
  // when it is of these tones or lighter, in words
  const spans = (subject, day, least) => {
    const joined = [];
    for (const [from, to, tone] of stretches(subject, day)) {
      if (tone < least) continue;
      const last = joined[joined.length - 1];
      if (last && last[1] === from) last[1] = to;
      else joined.push([from, to]);
    }
    return joined.map(([a, b]) => `${clock(a)}–${clock(b)}`).join(", ") || data.words.none;
  };
  const good = (subject, day) => subject.good[day] || data.words.none;
  // a name stands apart, so that one written from the right turns no clock round
  const apart = (name) => `\u2068${name}\u2069`;
  const say = (name, values) =>
    data.words[name].replace(/\{(\w+)\}/g, (whole, key) =>
      key === "subject" || key === "kit" ? apart(values[key]) : values[key] ?? "");
  return { clock, minutes, seconds, spans, good, say, apart };
};
