import { get, length, photoFromBlock, send, svg } from './shared.js';
import { sessionForm } from './session.js';

const byId = (id) => document.getElementById(id);
const bar = byId('result');

byId('remove')?.addEventListener('click', async (event) => {
  try { await send(`/api/blocks/${event.currentTarget.dataset.id}/remove`); location.assign('/'); } catch (error) { event.target.insertAdjacentText('afterend', ' ' + error.message); }
});
byId('other-grid')?.addEventListener('click', async (event) => {
  const { id, size, grid } = event.currentTarget.dataset;
  try { await send(`/api/blocks/${id}/measure`, { size, grid }); location.assign(`/block/${id}`); } catch (error) { event.target.insertAdjacentText('afterend', ' ' + error.message); }
});
sessionForm();
if (bar) start(await get(`/block/${bar.dataset.id}/report.json`));

function start(report) {
  const picture = byId('picture'), groups = new Map(), nodes = new Map();
  const rows = new Map([...document.querySelectorAll('tr[data-line]')].map((row) => [row.dataset.line, row]));
  const crossingRows = new Map([...document.querySelectorAll('tr[data-crossing]')].map((row) => [row.dataset.crossing, row]));
  let unit = bar.dataset.unit, chosen = null;

  const { widthMm, heightMm } = report.block, shown = bar.dataset.picture ? JSON.parse(bar.dataset.picture) : null;
  const margin = shown ? shown.marginMm : 4;
  picture.setAttribute('viewBox', `${-margin} ${-margin} ${widthMm + 2 * margin} ${heightMm + 2 * margin}`);
  svg('rect', { class: 'ground', width: widthMm, height: heightMm }, picture);
  // Pixel centres are whole numbers: the picture begins half a pixel before its first centre.
  if (shown) svg('image', { id: 'photo-layer', href: `/block/${bar.dataset.id}/block.jpg`, x: -margin - 0.5 / shown.perMm, y: -margin - 0.5 / shown.perMm, width: shown.width / shown.perMm, height: shown.height / shown.perMm, preserveAspectRatio: 'none' }, picture);
  const lineLayer = svg('g', {}, picture), nodeLayer = svg('g', { id: 'node-layer' }, picture);

  const families = report.grid.families.map((f) => { const t = f.angleDeg * Math.PI / 180; return { u: [Math.cos(t), -Math.sin(t)], n: [Math.sin(t), Math.cos(t)] }; });
  const toPhoto = Number(bar.dataset.photoWidth) > 0 ? photoFromBlock(report.block.cornersPx, widthMm, heightMm) : null;
  const nodeSize = Math.min(widthMm, heightMm) / 180;

  for (const line of report.lines) {
    const seen = line.status === 'measured' || line.status === 'partial';
    const g = svg('g', { class: seen ? '' : 'missing' }, lineLayer);
    const ends = { x1: line.fromMm[0], y1: line.fromMm[1], x2: line.toMm[0], y2: line.toMm[1] };
    const halo = svg('path', { class: 'halo' }, g);
    svg('line', { class: `meant f${line.family % 6}`, ...ends }, g);
    const trace = svg('path', { class: `stitched f${line.family % 6}` }, g);
    const touch = svg('line', { class: 'touch', ...ends }, g);
    touch.addEventListener('pointerenter', (event) => { if (event.pointerType === 'mouse') { point(line.id, true); if (!chosen) show(line); } });
    touch.addEventListener('pointerleave', () => point(line.id, false));
    touch.addEventListener('click', () => choose(line.id, true));
    groups.set(line.id, { g, halo, trace, line });
  }
  for (const crossing of report.intersections) {
    const move = svg('line', { class: 'node-move' }, nodeLayer), dot = svg('circle', { class: 'node', r: nodeSize }, nodeLayer);
    const touch = svg('circle', { class: 'node-touch', r: 2.6 * nodeSize }, nodeLayer);
    touch.addEventListener('pointerenter', (event) => { if (event.pointerType === 'mouse') { pointCrossing(crossing.id, true); if (!chosen) showCrossing(crossing); } });
    touch.addEventListener('pointerleave', () => pointCrossing(crossing.id, false));
    touch.addEventListener('click', () => chooseCrossing(crossing.id, true));
    nodes.set(crossing.id, { move, dot, touch, crossing });
  }

  for (const extra of report.extraLines ?? []) svg('line', { class: 'extra', x1: extra.fromMm[0], y1: extra.fromMm[1], x2: extra.toMm[0], y2: extra.toMm[1] }, lineLayer);

  function bend() {
    const k = Number(byId('larger').value);
    byId('larger-word').textContent = k === 1 ? 'true size' : `${k} times`;
    for (const { line, halo, trace } of groups.values()) {
      const { u, n } = families[line.family];
      let path = '', last = null;
      for (const s of line.samples) {
        const x = line.fromMm[0] + u[0] * s.alongMm + n[0] * s.deviationMm * k, y = line.fromMm[1] + u[1] * s.alongMm + n[1] * s.deviationMm * k;
        // Nothing is drawn across a gap.
        path += `${last === null || s.alongMm - last > 1.6 ? 'M' : 'L'}${x.toFixed(2)} ${y.toFixed(2)}`;
        last = s.alongMm;
      }
      trace.setAttribute('d', path);
      halo.setAttribute('d', path);
    }
    for (const { crossing, move, dot, touch } of nodes.values()) {
      const [x, y] = crossing.intendedMm, to = crossing.stitchedMm;
      dot.style.display = move.style.display = to ? '' : 'none';
      touch.setAttribute('cx', x);
      touch.setAttribute('cy', y);
      if (!to) continue;
      const px = x + (to[0] - x) * k, py = y + (to[1] - y) * k;
      for (const [key, value] of Object.entries({ x1: x, y1: y, x2: px, y2: py })) move.setAttribute(key, value);
      for (const circle of [dot, touch]) { circle.setAttribute('cx', px); circle.setAttribute('cy', py); }
    }
  }

  function point(id, on) {
    groups.get(id)?.g.classList.toggle('pointed', on);
    rows.get(id)?.classList.toggle('pointed', on);
  }

  function pointCrossing(id, on) {
    nodes.get(id)?.dot.classList.toggle('pointed', on);
    crossingRows.get(id)?.classList.toggle('pointed', on);
  }

  function clear() {
    document.querySelectorAll('.chosen-row').forEach((row) => row.classList.remove('chosen-row'));
    groups.forEach(({ g }) => g.classList.remove('chosen'));
    nodes.forEach(({ dot }) => { dot.classList.remove('chosen'); dot.setAttribute('r', nodeSize); });
  }

  function choose(id, fromPicture) {
    clear();
    chosen = id;
    const { g, line } = groups.get(id);
    g.classList.add('chosen');
    lineLayer.append(g);
    const row = rows.get(id);
    row.classList.add('chosen-row');
    if (fromPicture) reveal(row);
    show(line);
  }

  /** By mouse or touch the picture comes into view; by keyboard nothing jumps. */
  function towardsPicture(event) {
    if (event.detail > 0) picture.closest('.bench').scrollIntoView({ block: 'nearest', behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
  }

  function reveal(row) {
    const box = row.closest('.scroll');
    box.scrollTop = row.offsetTop - box.clientHeight / 2;
  }

  function chooseCrossing(id, fromPicture) {
    clear();
    chosen = id;
    const row = crossingRows.get(id);
    row.classList.add('chosen-row');
    if (fromPicture) { byId('crossings-box').open = true; reveal(row); }
    const { dot, crossing } = nodes.get(id);
    dot.classList.add('chosen');
    dot.setAttribute('r', 2.2 * nodeSize);
    showCrossing(crossing);
  }

  function showCrossing(crossing) {
    byId('detail-title').textContent = `Crossing ${crossing.id}`;
    byId('detail-words').textContent = (crossing.stitchedMm ? 'Where the stitched lines meet, against where they were meant to meet.' : 'This crossing could not be read in the photo, so nothing is claimed about it.') + (toPhoto ? ' Cut from the photo: dashed lines are meant, solid ones stitched, the ring is the meant crossing.' : '');
    byId('wobble').toggleAttribute('hidden', true);
    closeUp(crossing);
    numbers([
      ['Off its place', value(crossing.radialMm)],
      ['Across', crossing.stitchedMm ? length(crossing.stitchedMm[0] - crossing.intendedMm[0], null, unit) : 'not known'],
      ['Down', crossing.stitchedMm ? length(crossing.stitchedMm[1] - crossing.intendedMm[1], null, unit) : 'not known'],
      ...(crossing.missTriangleMm ? [['Lines miss each other by', value(crossing.missTriangleMm)]] : []),
    ]);
  }

  /** The crossing as the camera saw it, a few millimetres round, with the lines laid over it at true size. */
  function closeUp(crossing) {
    const area = byId('closeup');
    area.toggleAttribute('hidden', !toPhoto);
    if (!toPhoto) return;
    area.setAttribute('aria-label', `Crossing ${crossing.id}, cut from the photo`);
    const half = Math.min(8, Math.max(3, 0.4 * Math.min(...report.grid.families.map((f) => f.spacingMm)))), [x, y] = crossing.intendedMm;
    const around = [[x - half, y - half], [x + half, y - half], [x + half, y + half], [x - half, y + half]].map(toPhoto), middle = toPhoto([x, y]);
    const side = Math.max(...around.map((p) => Math.max(Math.abs(p[0] - middle[0]), Math.abs(p[1] - middle[1]))));
    area.setAttribute('viewBox', `${middle[0] - side} ${middle[1] - side} ${2 * side} ${2 * side}`);
    if (!area.firstChild) svg('image', { href: `/block/${bar.dataset.id}/photo.jpg`, x: -0.5, y: -0.5, width: Number(bar.dataset.photoWidth), height: Number(bar.dataset.photoHeight), preserveAspectRatio: 'none' }, area);
    while (area.childNodes.length > 1) area.lastChild.remove();
    const trace = (points) => points.map(([a, b], i) => `${i ? 'L' : 'M'}${a.toFixed(2)} ${b.toFixed(2)}`).join('');
    for (const id of crossing.lineIds) {
      const line = groups.get(id)?.line;
      if (!line) continue;
      const { u, n } = families[line.family], meant = trace([toPhoto(line.fromMm), toPhoto(line.toMm)]);
      svg('path', { class: 'under', d: meant }, area);
      svg('path', { class: `closeup-meant f${line.family % 6}`, d: meant }, area);
      const here = (x - line.fromMm[0]) * u[0] + (y - line.fromMm[1]) * u[1], near = line.samples.filter((p) => Math.abs(p.alongMm - here) < 2.2 * half);
      if (near.length < 2) continue;
      const d = trace(near.map((p) => toPhoto([line.fromMm[0] + u[0] * p.alongMm + n[0] * p.deviationMm, line.fromMm[1] + u[1] * p.alongMm + n[1] * p.deviationMm])));
      svg('path', { class: 'under', d }, area);
      svg('path', { class: `stitched f${line.family % 6}`, d }, area);
    }
    for (const name of ['aim-under', 'aim']) svg('circle', { class: name, cx: middle[0], cy: middle[1], r: side / 9 }, area);
  }

  const value = (v) => (v?.value == null ? 'not known' : length(v.value, v.u, unit));

  function numbers(list) {
    byId('detail-numbers').replaceChildren(...list.flatMap(([name, text]) => {
      const dt = document.createElement('dt'), dd = document.createElement('dd');
      dt.textContent = name;
      dd.textContent = text;
      return [dt, dd];
    }));
  }

  function show(line) {
    byId('closeup').toggleAttribute('hidden', true);
    byId('detail-title').textContent = `Line ${line.id}`;
    const words = { measured: 'Read along its whole length.', partial: 'Read in part only; the rest was not to be seen.', 'not-found': 'No stitching was found near this line, so nothing is claimed about it.', unreadable: 'The photo does not show this line clearly enough to measure.' }[line.status] ?? line.status;
    byId('detail-words').textContent = [words, ...(line.notes ?? [])].join(' ');
    const angle = line.angleDeg?.value == null ? 'not known' : `${line.angleDeg.value.toFixed(2).replace('-', '−')}${line.angleDeg.u == null ? '' : ` ± ${Math.max(2 * line.angleDeg.u, 0.01).toFixed(2)}`}°`;
    numbers([
      ['Beside its place', value(line.offsetMm)], ['Turned by', angle], ['Wobble', value(line.straightnessRmsMm)], ['Widest swing', value(line.straightnessTotalMm)],
      ...(line.stitchLengthMm?.value != null ? [['Stitch length', length(line.stitchLengthMm.value, line.stitchLengthMm.u, unit)]] : []),
    ]);
    plot(line);
  }

  /** Deviation along the line with its band of 2u, the intended line (zero) and the line's own straight line. */
  function plot(line) {
    const area = byId('wobble'), s = line.samples;
    area.toggleAttribute('hidden', s.length < 2);
    area.replaceChildren();
    if (s.length < 2) return;
    const w = 340, h = 190, left = 44, right = 8, top = 20, bottom = 34, k = unit === 'in' ? 1 / 25.4 : 1;
    area.setAttribute('viewBox', `0 0 ${w} ${h}`);
    area.setAttribute('aria-label', `Wobble along line ${line.id}`);
    const total = Math.hypot(line.toMm[0] - line.fromMm[0], line.toMm[1] - line.fromMm[1]);
    const most = Math.max(0.5, ...s.map((p) => Math.abs(p.deviationMm) + 2 * p.u)) * 1.05;
    const X = (mm) => left + (w - left - right) * mm / total, Y = (mm) => top + (h - top - bottom) * (mm + most) / (2 * most);
    const text = (x, y, words, anchor) => { svg('text', { x, y, 'text-anchor': anchor }, area).textContent = words; };
    let run = [];
    const runs = [];
    for (const p of s) { if (run.length && p.alongMm - run[run.length - 1].alongMm > 1.6) { runs.push(run); run = []; } run.push(p); }
    runs.push(run);
    for (const r of runs) {
      svg('path', { class: 'band', d: `M${r.map((p) => `${X(p.alongMm)} ${Y(p.deviationMm - 2 * p.u)}`).join('L')}L${[...r].reverse().map((p) => `${X(p.alongMm)} ${Y(p.deviationMm + 2 * p.u)}`).join('L')}Z` }, area);
    }
    svg('line', { class: 'zero', x1: left, x2: w - right, y1: Y(0), y2: Y(0) }, area);
    if (line.offsetMm?.value != null && line.angleDeg?.value != null) {
      // The angle is that of the deviation: positive where it grows along the line.
      const slope = Math.tan(line.angleDeg.value * Math.PI / 180), own = (mm) => line.offsetMm.value + slope * (mm - total / 2);
      svg('line', { class: 'own', x1: X(0), x2: X(total), y1: Y(own(0)), y2: Y(own(total)) }, area);
    }
    for (const r of runs) svg('path', { class: 'trace', d: 'M' + r.map((p) => `${X(p.alongMm)} ${Y(p.deviationMm)}`).join('L') }, area);
    svg('line', { class: 'axis', x1: left, x2: left, y1: top, y2: h - bottom }, area);
    const digits = unit === 'in' ? 2 : 1;
    for (const mm of [-most / 1.05, 0, most / 1.05]) text(left - 5, Y(mm) + 4, (mm * k).toFixed(digits).replace('-', '−').replace(/^−(0\.0+)$/, '$1'), 'end');
    text(left, h - bottom + 15, '0', 'middle');
    text(w - right, h - bottom + 15, `${(total * k).toFixed(unit === 'in' ? 1 : 0)} ${unit} along`, 'end');
    text(left - 36, 12, `${unit}; band: give or take`, 'start');
    text(left, h - 4, 'short dashes: meant; long dashes: its own straight line', 'start');
  }

  function relabel() {
    document.querySelectorAll('.len').forEach((span) => { span.textContent = length(Number(span.dataset.mm), span.dataset.u === undefined ? null : Number(span.dataset.u), unit); });
    document.querySelectorAll('.said').forEach((span) => { span.textContent = span.dataset[unit]; });
    document.querySelectorAll('.file-link').forEach((link) => { link.href = link.dataset.base + (unit === 'in' ? '?units=in' : ''); });
    document.querySelectorAll('.unit-name').forEach((span) => { span.textContent = unit; });
    filterLines();
    filterCrossings();
    if (chosen && groups.has(chosen)) show(groups.get(chosen).line);
    else if (chosen) chooseCrossing(chosen);
  }

  // Filters: rows that are left out are left out of the picture too.
  const amount = (id) => { const v = Number((byId(id)?.value ?? '').trim().replace(',', '.')); return Number.isFinite(v) ? v * (unit === 'in' ? 25.4 : 1) : 0; };

  function filterLines() {
    const family = byId('only-family').value, state = byId('only-state').value, least = amount('only-larger');
    let shownRows = 0;
    for (const [id, row] of rows) {
      const { line, g } = groups.get(id);
      const large = least <= 0 || Math.abs(line.offsetMm?.value ?? 0) >= least || (line.straightnessRmsMm?.value ?? 0) >= least;
      const keep = (family === '' || line.family === Number(family)) && (state === '' || line.status === state) && large;
      row.hidden = !keep;
      g.classList.toggle('left-out', !keep);
      if (keep) shownRows++;
    }
    byId('lines-shown').textContent = shownRows === rows.size ? '' : `${shownRows} of ${rows.size} shown`;
  }

  function filterCrossings() {
    if (!byId('crossings-box')) return;
    const word = byId('only-line').value.trim().toUpperCase(), least = amount('only-off');
    let shownRows = 0;
    for (const [id, row] of crossingRows) {
      const { crossing, dot, move, touch } = nodes.get(id);
      const keep = (word === '' || crossing.lineIds.some((line) => line.toUpperCase() === word)) && (least <= 0 || (crossing.radialMm?.value ?? 0) >= least);
      row.hidden = !keep;
      for (const part of [dot, move, touch]) part.classList.toggle('left-out', !keep);
      if (keep) shownRows++;
    }
    byId('crossings-shown').textContent = shownRows === crossingRows.size ? '' : `${shownRows} of ${crossingRows.size} shown`;
  }
  for (const id of ['only-family', 'only-state', 'only-larger']) byId(id).addEventListener('input', filterLines);
  for (const id of ['only-line', 'only-off']) byId(id)?.addEventListener('input', filterCrossings);

  for (const radio of document.querySelectorAll('input[name=unit]')) {
    radio.checked = radio.value === unit;
    radio.addEventListener('change', () => { unit = radio.value; relabel(); });
  }
  for (const layer of ['photo', 'meant', 'stitched', 'crossings']) {
    const box = byId(`show-${layer}`), set = () => picture.classList.toggle(`hide-${layer}`, !box.checked);
    box.addEventListener('change', set);
    set();
  }
  byId('larger').addEventListener('input', bend);
  for (const [id, row] of rows) {
    row.addEventListener('click', (event) => { choose(id, false); towardsPicture(event); });
    row.addEventListener('pointerenter', () => point(id, true));
    row.addEventListener('pointerleave', () => point(id, false));
  }
  for (const [id, row] of crossingRows) {
    row.addEventListener('click', (event) => { chooseCrossing(id, false); towardsPicture(event); });
    row.addEventListener('pointerenter', () => pointCrossing(id, true));
    row.addEventListener('pointerleave', () => pointCrossing(id, false));
  }

  for (const table of document.querySelectorAll('table.sortable')) {
    table.querySelectorAll('th .sort').forEach((button) => button.addEventListener('click', () => {
      const head = button.closest('th'), column = head.cellIndex, down = head.getAttribute('aria-sort') !== 'descending' && column > 1 ? true : head.getAttribute('aria-sort') === 'ascending';
      table.querySelectorAll('th').forEach((th) => th.removeAttribute('aria-sort'));
      head.setAttribute('aria-sort', down ? 'descending' : 'ascending');
      const key = (row) => { const cell = row.cells[column]; return cell.dataset.sort === undefined ? cell.textContent.trim() : Number(cell.dataset.sort); };
      const body = table.tBodies[0];
      const sorted = [...body.rows].sort((a, b) => { const x = key(a), y = key(b); return (typeof x === 'number' ? x - y : x.localeCompare(y)) * (down ? -1 : 1); });
      body.append(...sorted);
    }));
  }
  bend();
  relabel();
}
