// The page that stands beside an editor. Everything of a kit is data here: it
// is put in as text, or as a drawing that the server made.
'use strict';

const svgNamespace = 'http://www.w3.org/2000/svg';
const steps = 200; // of a slider, from one end of a joint's range to the other
const by = (id) => document.getElementById(id);

let state = null; // as the server told it last
let stand = []; // how the joints stand, in SI
let chosen = ''; // the place in the file of what is looked up
let marked = ''; // the id of the finding of which the mark is shown
let letter = ''; // of the detail that is shown; '' where it is the whole kit

// make makes an element with a class and a text.
function make(name, text, className) {
  const e = document.createElement(name);
  if (text !== undefined) e.textContent = text;
  if (className) e.className = className;
  return e;
}

function fill(e, ...content) {
  e.replaceChildren(...content);
  return e;
}

// get asks the server: data, and a drawing where there is one.
function get(what) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('GET', what);
    request.responseType = 'document';
    request.overrideMimeType('application/xml');
    request.onload = () => {
      const answer = request.responseXML && request.responseXML.querySelector('answer');
      if (request.status !== 200 || !answer) return reject(new Error(`the answer is ${request.status}`));
      resolve({ data: JSON.parse(answer.querySelector('data').textContent), svg: answer.querySelector('svg') });
    };
    request.onerror = () => reject(new Error('kitgauge does not answer'));
    request.send();
  });
}

// put puts a drawing in the place of an older one.
function put(id, svg) {
  refill(id, ...(svg ? [document.importNode(svg, true)] : []));
}

// refill puts something new in the place of what an element holds. What has the
// focus there has it still: the same slider, button, finding or mark, wherever
// it stands now; where it is gone, the element itself, so that Tab goes on from
// there.
function refill(id, ...content) {
  const e = by(id);
  const focused = e.contains(document.activeElement) ? document.activeElement : null;
  if (!focused) return fill(e, ...content);
  const alike = (name) => [...e.querySelectorAll('a, button, input, summary')].filter((one) => nameOf(one) === name);
  const name = nameOf(focused);
  const n = alike(name).indexOf(focused);
  fill(e, ...content);
  const to = alike(name)[n] || alike(name)[0] || e;
  if (to === e) e.tabIndex = -1;
  to.focus({ preventScroll: true });
  return e;
}

// nameOf is what tells a thing that can have the focus from others, whatever its
// number is and whatever is said of it now.
function nameOf(e) {
  return [e.tagName, e.getAttribute('data-name') || e.getAttribute('aria-label') || e.textContent].join(' ');
}

// same reports whether two states hold the same: then what is shown of it stays
// as it is, with the focus, what is selected and what is being dragged.
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

const tell = (id) => (text) => { if (by(id).textContent !== text) by(id).textContent = text; };
const say = tell('said'); // what became of a save
const read = tell('heard'); // what is seen elsewhere, for those who hear the page

// ---- the state

let wanted = 0; // the check that the server told of last
let loading = false;

// load shows what the server told of last.
async function load() {
  if (loading) return;
  loading = true;
  try {
    while (!state || state.number < wanted) await show(await get('state'));
  } catch (fault) {
    say(`Nothing can be shown: ${fault.message}.`);
  }
  loading = false;
}

async function show(answer) {
  const before = state;
  state = answer.data;
  nameMarks(answer.svg);
  put('plan', answer.svg);
  showDetails(before);
  await showDetail((state.details || []).some((d) => d.letter === letter) ? letter : '');
  keepStand(before);
  showReport(before);
  showSliders(before);
  showNames(before);
  by('paper').classList.toggle('old', state.old);
  await pose();
  showMark(marked);
  if (before) say(changed(before));
}

// nameMarks gives the marks of a drawing the names of their findings, of which
// the numbers change from one check to another.
function nameMarks(svg) {
  const names = new Map(((state.report && state.report.findings) || []).map((f) => [`#${f.id}`, f.rule + f.place]));
  for (const a of svg ? svg.querySelectorAll('a') : []) a.setAttribute('data-name', names.get(a.getAttribute('href')) || '');
}

// keepStand leaves the joints where they are, as far as the kit still has them.
function keepStand(before) {
  const old = new Map((before ? before.joints || [] : []).map((j, i) => [j.at + j.name, stand[i]]));
  stand = (state.joints || []).map((j) => {
    const q = old.get(j.at + j.name) || 0;
    return j.why || q === 0 ? 0 : Math.min(Math.max(q, j.from), j.to);
  });
}

// changed says what a save came to.
function changed(before) {
  if (state.trouble) return ''; // it is told above
  const is = (state.report.findings || []).length;
  const was = before.report ? (before.report.findings || []).length : 0;
  const count = is === 1 ? '1 finding' : `${is} findings`;
  return `Saved and checked again: ${count}${is === was ? '' : `, ${was} before`}; ${state.report.verdict}.`;
}

// sentence is for words of ours: the letters of a path or a name stay as they are.
const sentence = (text) => text.charAt(0).toUpperCase() + ended(text).slice(1);
const ended = (text) => text + (/[.!?]$/.test(text) ? '' : '.');

function showReport(before) {
  const r = state.report;
  showTrouble();
  if (!r) return;
  document.title = `${r.number || r.file}: preview`;
  by('number').textContent = r.number || 'A kit without a number';
  by('title').textContent = [r.title, r.file].filter(Boolean).join(', ');
  showVerdict();
  fill(by('counts'), ...(r.counts || []).map((c) => make('li', `${c.count} ${c.name}`)));
  by('mind').textContent = (r.mind || []).join(' ');
  by('caution').textContent = r.caution;
  if (!before || !same(before.report, r)) showFindings(r.findings || []);
  showMargins(r.margins || []);
}

let lost = false; // kitgauge does not answer

function showVerdict() {
  const r = state && state.report;
  if (!r) return;
  by('verdict').textContent = lost ? `Not known now: kitgauge has ended, or does not answer. What stands below is of the kit as saved ${r.saved}.` : sentence(r.verdict);
  by('verdict').className = lost ? 'open' : r.class;
}

function showTrouble() {
  if (!state.trouble) return fill(by('trouble'));
  const lines = [make('b', ended(state.trouble)), ` The picture below is of the kit as saved ${state.saved}.`];
  if (!state.joints) lines[1] = ' There is no picture yet.';
  for (const f of (state.report ? state.report.findings || [] : []).filter((f) => f.rule.startsWith('file/')).slice(0, 3)) {
    lines.push(make('div', `${f.rows.find((r) => r.name === 'file').text}: ${f.message}`));
  }
  fill(by('trouble'), ...lines);
}

// ---- findings

const open = new Set(); // the findings that are open, by what they say

function showFindings(list) {
  const now = asOf();
  if (!list.length) return refill('found', make('p', now.length ? 'Nothing was found then.' : 'Nothing is found.'), ...now);
  const more = state.report.more ? [make('p', `${state.report.more} more are not listed: kitgauge check lists them.`)] : [];
  return refill('found', ...now, ...list.map(finding), ...more);
}

// asOf says, of what is found, that it is of an older check, where it is.
function asOf() {
  const r = state.report;
  return r.stale ? [make('p', `Of the kit as saved ${r.saved}; what would be found now is not known.`, 'soft')] : [];
}

// beside are the findings that a mark stands for.
const beside = (mark) => ((state.report && state.report.findings) || []).filter((f) => mark > 0 && f.mark === mark);

function finding(f) {
  const alike = beside(f.mark);
  const nth = alike.indexOf(f) + 1;
  const e = make('details', undefined, `finding ${f.severity}${f.settled ? ' settled' : ''}`);
  e.id = f.id;
  const says = make('span');
  says.append(make('span', f.word, 'word'), ' ', make('span', f.place, 'place'), make('br'), f.message);
  const summary = make('summary');
  summary.setAttribute('data-name', f.rule + f.place);
  summary.append(sign(f), says, make('span', !f.mark ? '' : alike.length < 2 ? `mark ${f.mark}` : `mark ${f.mark}, ${nth} of ${alike.length}`, 'marked'));
  const facts = make('dl', undefined, 'facts');
  const add = (row) => facts.append(make('dt', row.name), make('dd', row.text));
  f.rows.slice(0, 1).forEach(add); // what to do
  if (alike.length > 1) {
    const next = link('next', () => openFinding(alike[nth % alike.length].id));
    next.setAttribute('aria-label', `the next of the ${alike.length} at mark ${f.mark}`);
    const dd = make('dd', `${nth} of ${alike.length} at mark ${f.mark}, `);
    dd.append(next);
    facts.append(make('dt', 'together'), dd);
  }
  if (f.stand) {
    const dd = make('dd', `${f.stands}, `);
    dd.append(mover(f.stand, `${f.place}: move the joints there`));
    facts.append(make('dt', 'joints'), dd);
  }
  f.rows.slice(1).forEach(add);
  if (f.working) {
    const working = make('dd');
    working.append(fill(make('ul'), ...f.working.map((w) => make('li', w))));
    facts.append(make('dt', 'working'), working);
  }
  e.append(summary, facts);
  const key = f.rule + f.place;
  e.open = open.has(key);
  e.addEventListener('toggle', () => {
    if (e.open) open.add(key);
    else open.delete(key);
    if (e.open || marked === f.id) showMark(e.open ? f.id : '');
  });
  return e;
}

// mover is what moves all joints somewhere.
function mover(q, about) {
  const b = link('move the joints there', () => move(q.slice()));
  b.setAttribute('aria-label', about);
  return b;
}

// openFinding opens a finding, and what is read goes on there.
function openFinding(id) {
  const e = by(id);
  if (!e) return;
  e.open = true;
  e.querySelector('summary').focus({ preventScroll: true });
  e.scrollIntoView({ block: 'nearest' });
  showMark(id);
}

// sign is that of the drawing: the severity by its shape and its letter.
function sign(f) {
  const shapes = {
    critical: ['path', { d: 'M12 1.5L22.5 12L12 22.5L1.5 12Z' }],
    major: ['path', { d: 'M12 2L23 21H1Z' }],
    minor: ['circle', { cx: 12, cy: 12, r: 9.5 }],
    none: ['rect', { x: 3, y: 3, width: 18, height: 18 }],
  };
  const svg = drawn('svg', { class: 'sign', viewBox: '0 0 24 24', 'aria-hidden': 'true' });
  const [name, attributes] = shapes[f.severity] || shapes.none;
  const letter = drawn('text', { x: 12, y: f.severity === 'major' ? 18.5 : 15.6 });
  letter.textContent = f.letter;
  svg.append(drawn(name, attributes), letter);
  return svg;
}

function drawn(name, attributes) {
  const e = document.createElementNS(svgNamespace, name);
  for (const [key, value] of Object.entries(attributes)) e.setAttribute(key, value);
  return e;
}

// showMark shows where a finding is marked.
function showMark(id) {
  marked = id;
  for (const a of document.querySelectorAll('#paper a.chosen')) a.classList.remove('chosen');
  const f = ((state.report && state.report.findings) || []).find((f) => f.id === id);
  const together = f ? beside(f.mark) : [];
  for (const e of document.querySelectorAll('details.finding')) e.classList.toggle('together', together.length > 1 && together.some((f) => f.id === e.id));
  if (!id || state.old) return;
  const leads = (within) => [...document.querySelectorAll(`${within} a`)].filter((a) => a.getAttribute('href') === `#${id}` || sharesMark(a, id));
  let links = leads(letter ? '#detail' : '#plan');
  if (letter && !links.length && leads('#plan').length) { // it is elsewhere
    showDetail('');
    links = leads('#plan');
  }
  for (const a of links) a.classList.add('chosen');
  if (links.length) bring(links[links.length - 1]);
}

// sharesMark reports whether a mark stands for a finding beside another.
function sharesMark(a, id) {
  const of = (id) => ((state.report && state.report.findings) || []).find((f) => f.id === id);
  const [one, other] = [of(id), of((a.getAttribute('href') || '').slice(1))];
  return one && other && one.mark > 0 && one.mark === other.mark;
}

// bring scrolls the drawing, and no more than that, to an element.
function bring(e) {
  const frame = by('scroll').getBoundingClientRect();
  const at = e.getBoundingClientRect();
  by('scroll').scrollBy(at.left + at.width / 2 - frame.left - frame.width / 2, at.top + at.height / 2 - frame.top - frame.height / 2);
}

for (const id of ['plan', 'detail']) {
  by(id).addEventListener('click', (event) => {
    const link = event.target.closest('a');
    if (!link) return;
    event.preventDefault();
    const to = (link.getAttribute('href') || '').slice(1);
    if (to.startsWith('detail-')) showDetail(to.slice('detail-'.length)).then(() => by('whole').focus({ preventScroll: true }));
    else openFinding(to);
  });
}

// ---- joints

function showSliders(before) {
  if (before && same(before.joints, state.joints)) return;
  const list = (state.joints || []).map(slider);
  refill('sliders', ...(list.length ? list : [make('p', 'The kit has no joints.')]));
  by('rest').disabled = !list.length;
}

function slider(j, i) {
  const e = make('div', undefined, 'joint');
  const top = make('div', undefined, 'top');
  const label = make('label', j.name);
  label.htmlFor = `joint-${i}`;
  const output = make('output');
  output.id = `joint-${i}-at`;
  top.append(label, output);
  e.append(top);
  if (j.why) {
    e.append(make('p', `Cannot be moved: ${j.why}.`, 'soft'));
    label.removeAttribute('for');
    return e;
  }
  const range = make('input');
  Object.assign(range, { type: 'range', id: `joint-${i}`, min: 0, max: steps, step: 1 });
  range.setAttribute('data-name', j.name);
  range.value = toStep(j, stand[i]);
  range.addEventListener('input', () => {
    stand[i] = fromStep(j, Number(range.value));
    pose();
  });
  const to = (text, q) => {
    const button = make('button', text);
    button.type = 'button';
    button.setAttribute('aria-label', `${j.name}: at ${text}`);
    button.addEventListener('click', () => move(stand.map((v, k) => (k === i ? q : v))));
    return button;
  };
  const line = make('div', undefined, 'line');
  line.append(to(j.low, j.from), range, to(j.high, j.to));
  top.append(to('rest', 0));
  e.append(line);
  return e;
}

const toStep = (j, q) => Math.round(((q - j.from) / (j.to - j.from)) * steps);

// fromStep is the value at a step: the ends and rest exactly.
function fromStep(j, n) {
  if (n === 0) return j.from;
  if (n === steps) return j.to;
  return n === toStep(j, 0) ? 0 : j.from + ((j.to - j.from) * n) / steps;
}

// move stands all joints somewhere.
function move(q) {
  stand = q;
  state.joints.forEach((j, i) => { if (!j.why) by(`joint-${i}`).value = toStep(j, q[i]); });
  return pose();
}

by('rest').addEventListener('click', () => move(stand.map(() => 0)));

let asked = 0; // how often a pose was asked for
let asking = false;
let quiet = 0; // until the pose is said

// pose asks for the drawing and the figures of how the joints stand, one answer
// at a time: what was asked for meanwhile comes next.
async function pose() {
  asked++;
  if (asking || !state.joints) return;
  asking = true;
  for (let done = 0; done !== asked;) {
    done = asked;
    try {
      showPose(await get(`pose?check=${state.number}&q=${stand.join(',')}`));
    } catch (fault) {
      if (done === asked && state.number >= wanted) say(`The pose cannot be shown: ${fault.message}.`);
    }
  }
  asking = false;
}

function showPose({ data, svg }) {
  put('posed', svg);
  by('paper').classList.toggle('moved', !data.rest);
  (data.joints || []).forEach((text, i) => {
    const output = by(`joint-${i}-at`);
    if (output) output.textContent = text;
    const range = by(`joint-${i}`);
    if (range) range.setAttribute('aria-valuetext', text);
  });
  showLeast(data);
  showSpans(data.spans || [], data.more);
  showGaps(data.gaps || []);
  showChosen();
  if (chosen) lookUp(chosen);
  clearTimeout(quiet);
  quiet = setTimeout(() => { read(inWords(data)); }, 700);
}

function inWords(data) {
  const stands = state.joints.map((j, i) => [j.name, data.joints[i], stand[i]]).filter(([, , q]) => q !== 0).map(([name, text]) => `${name} at ${text}`);
  return [stands.join(', ') || 'All joints at rest', least('Least slack', data.slack), least('Least distance', data.gap) + (data.gap.but ? `, ${data.gap.but}` : '')].filter(Boolean).join('. ') + '.';
}

const least = (name, l) => (l.text ? `${name} ${l.text}: ${l.place}` : '');

function showLeast(data) {
  const rows = [];
  for (const [name, l] of [['least slack', data.slack], ['least distance', data.gap]]) {
    const dd = make('dd');
    if (l.text) dd.append(make('b', l.text), ` ${l.place} `, make('span', `(over the range of all joints ${l.range}${l.where === l.place ? '' : `: ${l.where}`}${l.but ? `; ${l.but}` : ''})`, 'soft'));
    else dd.append(make('span', name === 'least slack' ? 'no free span of which it is known' : `nothing comes near a zone${l.but ? `; ${l.but}` : ''}`, 'soft'));
    rows.push(make('dt', name), dd);
  }
  fill(by('least'), ...rows);
}

// ---- tables

function table(caption, heads, rows) {
  const e = make('table');
  e.append(make('caption', caption));
  const head = make('tr');
  for (const text of heads) {
    const th = make('th', text);
    th.scope = 'col';
    head.append(th);
  }
  e.append(fill(make('thead'), head), fill(make('tbody'), ...rows));
  return e;
}

function row(head, ...cells) {
  const tr = make('tr');
  const th = make('th');
  th.scope = 'row';
  th.append(...head);
  tr.append(th, ...cells.map((c) => fill(make('td'), ...[c].flat())));
  return tr;
}

const now = (text, range) => [make('b', text), make('small', range)];

function link(text, act) {
  const b = make('button', text, 'link');
  b.type = 'button';
  b.addEventListener('click', act);
  return b;
}

function showSpans(list, more) {
  if (!list.length) return refill('span-table', make('p', 'The kit has no free span.'));
  const rows = list.map((s) => {
    const ends = state.spans[s.index];
    const head = [link(s.place, () => lookUp(s.at))];
    if (s.says) head.push(make('span', s.says, s.alarm ? 'bad' : 'note'));
    const to = make('small');
    if (ends && ends.longest) to.append('to ', link('longest', () => move(ends.longest.slice())), ', ', link('shortest', () => move(ends.shortest.slice())));
    to.querySelectorAll('button').forEach((b) => b.setAttribute('aria-label', `${s.place}: joints to where it is ${b.textContent}`));
    head.push(to);
    return row(head, now(s.slack, s.slackRange), now(s.radius, `${s.radiusRange} of ${s.radiusLeast}`));
  });
  return refill('span-table', table('Now; below it the least over the range of all joints, and of the loop what the tubes take.' + (more ? ` The ${list.length} with the least slack; ${more} more are not listed.` : ''), ['span', 'slack', 'least radius of the loop'], rows));
}

const few = 8; // distances that are shown at once

function showGaps(list) {
  if (!list.length) return refill('gap-table', make('p', 'Nothing comes near a zone.'));
  const all = by('gap-table').querySelector('details[open]') !== null;
  const rows = list.map((g) => row([link(g.place, () => lookUp(g.at)), ...(g.says ? [make('span', g.says, g.alarm ? 'bad' : 'note')] : [])], now(g.distance, g.range), g.keep));
  const heads = ['piece', 'distance', 'asked for'];
  const shown = [table('Now, the nearest to what is asked for first; below it the least over the range of all joints.', heads, rows.slice(0, few))];
  if (rows.length > few) {
    const more = make('details');
    more.open = all;
    const summary = make('summary', `${rows.length - few} more`);
    summary.setAttribute('data-name', 'more');
    more.append(summary, table('The others.', heads, rows.slice(few)));
    shown.push(more);
  }
  return refill('gap-table', ...shown);
}

function showMargins(list) {
  if (!list.length) return fill(by('margin-table'), make('p', 'No rule has a margin.'));
  const rows = list.map((m) => row([m.title, make('small', m.place), ...(m.beyond ? [make('span', 'beyond the limit', 'bad')] : [])], m.value, m.limit, make('b', m.margin)));
  fill(by('margin-table'), ...asOf(), table('The least of each rule.', ['rule', 'value', 'limit', 'margin'], rows));
}

// ---- what is looked up

function showNames(before) {
  if (before && same(before.things, state.things)) return;
  const groups = new Map();
  for (const t of state.things || []) {
    if (!groups.has(t.kind)) groups.set(t.kind, []);
    groups.get(t.kind).push(t);
  }
  const options = [by('look').options[0]];
  for (const [kind, list] of groups) {
    const group = make('optgroup');
    group.label = kind === 'pump' ? kind : `${kind}s`;
    group.append(...list.map((t) => Object.assign(make('option', t.place), { value: t.at })));
    options.push(group);
  }
  fill(by('look'), ...options);
  by('look').value = chosen;
}

async function lookUp(at) {
  chosen = at;
  showChosen();
  if (!at) {
    fill(by('picked'));
    return fill(by('looked'));
  }
  if ([...by('look').options].some((o) => o.value === at)) by('look').value = at;
  let things;
  try {
    things = (await get(`figures?check=${state.number}&at=${encodeURIComponent(at)}&q=${stand.join(',')}`)).data.things || [];
  } catch (fault) {
    return fill(by('looked'), make('p', sentence(fault.message)));
  }
  if (chosen !== at) return;
  const e = make('div', undefined, 'looked');
  for (const t of things) {
    const dl = make('dl');
    for (const f of t.figures) dl.append(make('dt', f.name), figure(f, t.place));
    e.append(make('h3', `${t.place} (${t.kind.replaceAll('_', ' ')})`), dl);
  }
  refill('looked', things.length ? e : make('p', 'Nothing is computed of it.'));
  showPicked(things);
}

// figure is what a quantity comes to: where the joints move it, now and over the
// range of all of them.
function figure(f, place) {
  if (!f.over && !f.now) return make('dd', f.text);
  const dd = make('dd');
  if (f.now) dd.append(make('b', f.now), ' now');
  if (!f.over) return dd;
  const small = make('small', `${f.over}: ${f.text}, with ${f.stands}, `);
  small.append(mover(f.stand, `${place}: move the joints to where the ${f.name} is ${f.text}`));
  dd.append(small);
  return dd;
}

// showPicked says under the drawing what is chosen, and leads to its figures:
// what is read stays where it is.
function showPicked(things) {
  const name = [...by('look').options].find((o) => o.value === chosen);
  const place = name && name.value ? name.text : things.length ? things[0].place : 'what was chosen';
  const figures = things.flatMap((t) => t.figures.filter((f) => f.now).map((f) => `${f.name} ${f.now} now`)).slice(0, 2);
  const to = make('a', 'its figures');
  to.href = '#figures';
  fill(by('picked'), [place, ...figures].join(', ') + ': ', to);
}

function showChosen() {
  for (const g of document.querySelectorAll('#posed .thing')) g.classList.toggle('chosen', chosen !== '' && g.getAttribute('data-at') === chosen);
}

by('look').addEventListener('change', () => lookUp(by('look').value));
by('posed').addEventListener('click', async (event) => {
  const thing = event.target.closest('.thing');
  if (!thing) return;
  await lookUp(thing.getAttribute('data-at'));
  read(by('picked').textContent);
});

// ---- details

function showDetails(before) {
  const list = state.details || [];
  by('shown').hidden = !list.length;
  if (before && same(before.details, state.details)) return;
  const option = (value, text) => Object.assign(make('option', text), { value });
  fill(by('sheet'), option('', 'the whole kit'), ...list.map((d) => option(d.letter, `detail ${d.letter}: ${d.shows}`)));
}

const hint = document.querySelector('.hint').textContent;

// showDetail shows a detail, which is drawn at rest, or the whole kit.
async function showDetail(which) {
  let svg = by('plan').querySelector('svg');
  if (which) {
    try {
      svg = (await get(`detail?check=${state.number}&letter=${encodeURIComponent(which)}`)).svg;
    } catch (fault) {
      which = '';
      if (state.number >= wanted) say(`The detail cannot be shown: ${fault.message}.`);
    }
  }
  const other = letter !== which;
  letter = which;
  nameMarks(which ? svg : null);
  put('detail', which ? svg : null);
  by('detail').hidden = !which;
  by('whole').hidden = !which;
  by('paper').classList.toggle('enlarged', which !== '');
  by('sheet').value = which;
  document.querySelector('.hint').textContent = which ? `Detail ${which}, drawn with all joints at rest.` : hint;
  if (svg) measure(svg);
  if (other) {
    read(which ? `Detail ${which}, with all joints at rest` : 'The whole kit');
    if (marked && which) showMark(marked);
  }
}

by('sheet').addEventListener('change', () => showDetail(by('sheet').value));
by('whole').addEventListener('click', () => {
  by('sheet').focus({ preventScroll: true });
  showDetail('');
});

// ---- the drawing's size, and what is saved

let middle = [0.5, 0.5]; // of what is seen, as a share of the drawing

by('scroll').addEventListener('scroll', () => {
  const box = by('scroll');
  middle = [(box.scrollLeft + box.clientWidth / 2) / box.scrollWidth, (box.scrollTop + box.clientHeight / 2) / box.scrollHeight];
});

// Of the smallest letters of a drawing, in pixels of the page.
const readable = 7;
const legible = 11;
let sized = false; // somebody chose a size

// measure tells the page how large the drawing is, and how large it has to be
// for its letters to be read; where they cannot be read in the whole drawing, it
// begins with a larger one.
function measure(svg) {
  const { width, height } = svg.viewBox.baseVal;
  by('paper').style.setProperty('--ratio', width / height);
  const least = Math.min(...[...svg.querySelectorAll('text')].map((t) => Number(t.getAttribute('font-size'))));
  if (!Number.isFinite(least)) return;
  by('paper').style.setProperty('--legible', `${Math.ceil((width * legible) / least)}px`);
  if (sized) return;
  const size = (value) => document.querySelector(`input[name=size][value="${value}"]`);
  size('1').checked = true;
  if ((least * by('paper').clientWidth) / width >= readable) return;
  size('legible').checked = true;
  const middle = svg.querySelector('.pump') || svg;
  if (middle.getBoundingClientRect().width) bring(middle);
}

// A drawing that stays over what is read hides nothing that has the focus.
new ResizeObserver(() => {
  const over = getComputedStyle(by('drawing')).position === 'sticky' && getComputedStyle(document.querySelector('main')).display !== 'grid';
  document.documentElement.style.scrollPaddingTop = over ? `${by('drawing').offsetHeight + 8}px` : '8px';
}).observe(by('drawing'));

for (const input of document.querySelectorAll('input[name=size]')) {
  input.addEventListener('change', () => {
    sized = true;
    const box = by('scroll');
    box.scrollTo({ left: middle[0] * box.scrollWidth - box.clientWidth / 2, top: middle[1] * box.scrollHeight - box.clientHeight / 2, behavior: 'instant' });
    if (marked) showMark(marked);
  });
}

const saves = new EventSource('events');
saves.addEventListener('check', (event) => {
  wanted = Number(event.data);
  lost = false;
  showVerdict();
  load();
});
saves.onerror = () => {
  lost = true;
  showVerdict();
  say('kitgauge has ended, or does not answer: this is what it showed last.');
};
