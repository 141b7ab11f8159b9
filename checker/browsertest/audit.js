// audit returns what a person would trip over, as a list of sentences: text
// that lies on text, colours that are too near, names that are missing. It is
// evaluated in the page by the tests.
(() => {
  const problems = [];
  const say = (text) => { if (problems.length < 40) problems.push(text); };
  const about = (e) => e.tagName.toLowerCase() + (e.id ? '#' + e.id : '') + (e.getAttribute('class') ? '.' + e.getAttribute('class') : '') +
    ' "' + (e.textContent || '').trim().replace(/\s+/g, ' ').slice(0, 40) + '"';
  const all = (selector, from) => [...(from || document).querySelectorAll(selector)];

  // the page does not scroll sideways
  const root = document.documentElement;
  if (root.scrollWidth > root.clientWidth) {
    const wide = all('body *').filter((e) => e.getBoundingClientRect().right > root.clientWidth + 1 && !e.closest('.scroll') && !e.closest('svg'));
    say(`the page is ${root.scrollWidth} wide in ${root.clientWidth}: ${wide.slice(0, 3).map(about).join(', ')}`);
  }

  // structure
  if (!root.lang) say('the page states no language');
  if (all('h1').length !== 1) say(`there are ${all('h1').length} first headings`);
  let level = 0;
  for (const h of all('h1,h2,h3,h4,h5,h6')) {
    const n = +h.tagName[1];
    if (n > level + 1) say(`${about(h)} comes after a heading of level ${level}`);
    level = n;
  }
  if (!document.querySelector('main')) say('there is no main');
  if (document.querySelector('.sheet')) for (const landmark of ['body > .sheet > header', 'main', 'nav[aria-labelledby]', 'main > section[aria-labelledby]']) {
    if (!document.querySelector(landmark)) say(`there is no ${landmark}`);
  }
  const ids = new Set();
  for (const e of all('[id]')) {
    if (ids.has(e.id)) say(`two elements have the id ${e.id}`);
    ids.add(e.id);
  }
  for (const e of all('[aria-labelledby],[aria-describedby]')) {
    for (const id of ((e.getAttribute('aria-labelledby') || '') + ' ' + (e.getAttribute('aria-describedby') || '')).split(' ')) {
      if (id && !ids.has(id)) say(`${about(e)} is named by ${id}, which is not there`);
    }
  }
  for (const a of all('a[href]')) {
    const to = a.getAttribute('href');
    if (!to.startsWith('#') || !ids.has(to.slice(1))) say(`${about(a)} leads to ${to}`);
    if (!a.textContent.trim()) say(`${about(a)} says nothing`);
  }

  // names
  for (const t of all('table')) {
    if (!t.caption || !t.caption.textContent.trim()) say(`a table has no caption: ${about(t)}`);
    for (const th of all('th', t)) if (!th.scope) say(`a head has no scope: ${about(th)}`);
    for (const r of t.tBodies) for (const row of r.rows) if (!row.querySelector('th')) say(`a row has no head: ${about(row)}`);
    const columns = t.tHead ? [...t.tHead.rows[0].cells].length : 0;
    for (const r of t.tBodies) for (const row of r.rows) {
      const n = [...row.cells].reduce((sum, c) => sum + c.colSpan, 0);
      if (n !== columns) say(`a row has ${n} cells under ${columns} heads: ${about(row)}`);
    }
  }
  for (const i of all('input,select,textarea')) if (!(i.labels && i.labels.length) && !i.getAttribute('aria-label')) say(`${about(i)} has no label`);
  for (const b of all('button,summary')) if (!b.textContent.trim()) say(`${about(b)} has no label`);
  for (const f of all('fieldset')) if (!f.querySelector('legend')) say('a group of inputs has no legend');
  for (const s of all('svg')) {
    const named = s.getAttribute('role') === (s.querySelector('a') ? 'group' : 'img') && s.querySelector('title') && s.querySelector('title').textContent.trim();
    if (s.getAttribute('aria-hidden') !== 'true' && !named) say(`a picture has no name: ${about(s)}`);
  }
  for (const e of all('[tabindex="0"]')) {
    if (!e.getAttribute('role') || !(e.getAttribute('aria-label') || e.getAttribute('aria-labelledby'))) say(`a stop of the keyboard has no name: ${about(e)}`);
  }
  for (const e of all('*')) {
    if (e.scrollWidth > e.clientWidth + 1 && ['auto', 'scroll'].includes(getComputedStyle(e).overflowX) && e.tabIndex < 0) say(`what scrolls is no stop of the keyboard: ${about(e)}`);
  }

  // what takes the focus shows it
  for (const e of all('a[href]:not([tabindex="-1"]),input,button,select,summary,[tabindex="0"]').slice(0, 30)) {
    if (!e.checkVisibility()) continue;
    e.focus({ focusVisible: true });
    const style = getComputedStyle(e);
    if (document.activeElement !== e || style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2) say(`the focus is not seen on ${about(e)}`);
  }
  document.activeElement.blur();

  // contrast (WCAG 2.2, 1.4.3: 4.5 to 1, and 3 to 1 for large text)
  const channels = (text) => (text.match(/[\d.]+/g) || []).map(Number);
  const light = (c) => {
    const [r, g, b] = c.slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => {
    const [x, y] = [light(a), light(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const under = (e) => {
    for (; e; e = e.parentElement) {
      const c = channels(getComputedStyle(e).backgroundColor);
      if (c.length === 3 || c[3] === 1) return c;
    }
    return [255, 255, 255];
  };
  const seen = new Set();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let n = walker.nextNode(); n; n = walker.nextNode()) {
    const e = n.parentElement;
    if (!n.data.trim() || !e.checkVisibility() || e.closest('.unseen,.skip,title,desc,style')) continue;
    const style = getComputedStyle(e);
    const inPicture = e.closest('svg');
    const drawing = e.closest('.kit-drawing');
    const ink = channels(inPicture ? style.fill : style.color);
    const paper = drawing ? channels(getComputedStyle(drawing.querySelector('.paper')).fill) : under(inPicture || e);
    const size = parseFloat(style.fontSize);
    const large = !inPicture && (size >= 24 || (size >= 18.66 && +style.fontWeight >= 700));
    const key = ink + '/' + paper + large;
    if (seen.has(key)) continue;
    seen.add(key);
    const got = ratio(ink, paper);
    if (got < (large ? 3 : 4.5)) say(`contrast ${got.toFixed(2)} in ${about(e)}`);
  }

  // in the pictures no text lies on another, and none is cut; they are looked
  // at when they are large, as small letters are rounded to whole pixels
  const sizes = all('input[name=size]');
  if (sizes.length) sizes[sizes.length - 1].checked = true;
  for (const s of all('svg.kit-drawing')) {
    const frame = s.getBoundingClientRect();
    const scale = s.viewBox.baseVal.width / frame.width; // mm for a pixel
    const boxes = all('text', s).map((t) => ({ t, b: t.getBoundingClientRect() }));
    for (let i = 0; i < boxes.length; i++) {
      const p = boxes[i].b;
      if ((frame.left - p.left) * scale > 0.1 || (p.right - frame.right) * scale > 0.1) say(`a text is cut in ${s.id}: ${about(boxes[i].t)}`);
      for (let j = 0; j < i; j++) {
        const q = boxes[j].b;
        const w = (Math.min(p.right, q.right) - Math.max(p.left, q.left)) * scale;
        const h = (Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top)) * scale;
        if (w > 0.15 && h > 0.3) say(`texts lie on each other by ${w.toFixed(2)} x ${h.toFixed(2)} mm: ${about(boxes[j].t)} and ${about(boxes[i].t)}`);
      }
    }
  }
  if (sizes.length) sizes[0].checked = true;
  return problems;
})()
