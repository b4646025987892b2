import { choiceForm, say, send, svg, token } from './shared.js';

const byId = (id) => document.getElementById(id);
const trouble = byId('trouble'), largest = 60 * 1024 * 1024;
let photo = null, sending = null;

const choice = choiceForm((grid) => {
  const picture = byId('grid-preview');
  picture.replaceChildren();
  byId('grid-words').textContent = grid ? `${grid.lines.length} lines, ${grid.crossings} crossings` : '';
  if (!grid) return;
  const edge = Math.max(grid.widthMm, grid.heightMm), margin = edge * 0.04;
  picture.setAttribute('viewBox', `${-margin - (edge - grid.widthMm) / 2} ${-margin - (edge - grid.heightMm) / 2} ${edge + 2 * margin} ${edge + 2 * margin}`);
  svg('rect', { width: grid.widthMm, height: grid.heightMm, fill: '#f3ecdd', stroke: '#4d5a64', 'stroke-width': edge / 150 }, picture);
  for (const line of grid.lines) svg('line', { x1: line.from[0], y1: line.from[1], x2: line.to[0], y2: line.to[1], class: `f${line.family % 6}`, 'stroke-width': edge / 170 }, picture);
});

function take(file) {
  if (!file) return;
  say(trouble, '');
  if (file.size > largest) { say(trouble, 'This photo is larger than 60 MB; save it as JPEG.'); return; }
  photo = file;
  byId('chosen').textContent = `${file.name || 'Pasted photo'} (${(file.size / 1048576).toFixed(1)} MB)`;
  const thumb = byId('thumb');
  if (thumb.src) URL.revokeObjectURL(thumb.src);
  thumb.onload = () => { thumb.hidden = false; };
  thumb.onerror = () => { thumb.hidden = true; };
  thumb.src = URL.createObjectURL(file);
}

byId('file').addEventListener('change', (event) => take(event.target.files[0]));
const drop = byId('drop');
for (const kind of ['dragenter', 'dragover']) document.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add('over'); });
for (const kind of ['dragleave', 'drop']) document.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.remove('over'); });
document.addEventListener('drop', (event) => take(event.dataTransfer?.files[0]));
document.addEventListener('paste', (event) => {
  const file = [...(event.clipboardData?.files ?? [])][0];
  if (file) { event.preventDefault(); take(file); }
});

byId('photo-form').addEventListener('submit', (event) => {
  event.preventDefault();
  if (sending) return;
  if (!photo) { say(trouble, 'Choose a photo first.'); byId('file').focus(); return; }
  say(trouble, '');
  const request = sending = new XMLHttpRequest();
  const done = (sentence) => { sending = null; byId('sending').hidden = true; byId('go').disabled = false; if (sentence) say(trouble, sentence); };
  request.open('POST', `/api/blocks?name=${encodeURIComponent(photo.name || 'pasted photo')}&size=${encodeURIComponent(choice.size)}&grid=${encodeURIComponent(choice.grid)}`);
  request.setRequestHeader('X-Workbench-Token', token);
  request.setRequestHeader('Content-Type', 'application/octet-stream');
  request.upload.onprogress = (e) => { if (e.lengthComputable) byId('sent').value = e.loaded / e.total; };
  request.onerror = () => done('The photo could not be handed over. If the program was closed, start it again.');
  request.onabort = () => done('');
  request.onload = () => {
    let answer = null;
    try { answer = JSON.parse(request.responseText); } catch { /* told below */ }
    if (request.status === 202 && answer) location.assign(`/block/${answer.id}`);
    else done(answer?.detail ?? 'The photo could not be handed over; load the page again.');
  };
  byId('sent').value = 0;
  byId('sending').hidden = false;
  byId('go').disabled = true;
  request.send(photo);
});
byId('stop-sending').addEventListener('click', () => sending?.abort());

byId('open-sample')?.addEventListener('click', async (event) => {
  const button = event.currentTarget;
  button.disabled = true;
  try {
    location.assign(`/block/${(await send('/api/sample')).id}`);
  } catch (error) {
    say(trouble, error.message);
    button.disabled = false;
  }
});
window.addEventListener('pageshow', () => { byId('go').disabled = false; const sample = byId('open-sample'); if (sample) sample.disabled = false; });
