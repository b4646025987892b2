import { choiceForm, drawGrid, hand, say, send } from './shared.js';

const byId = (id) => document.getElementById(id);
const trouble = byId('trouble'), largest = 60 * 1024 * 1024;
let photo = null, sending = null;

const choice = choiceForm((grid) => drawGrid(byId('grid-preview'), byId('grid-words'), grid));

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

byId('photo-form').addEventListener('submit', async (event) => {
  event.preventDefault();
  if (sending) return;
  if (!photo) { say(trouble, 'Choose a photo first.'); byId('file').focus(); return; }
  say(trouble, '');
  byId('sent').value = 0;
  byId('sending').hidden = false;
  byId('go').disabled = true;
  sending = hand(`/api/blocks?name=${encodeURIComponent(photo.name || 'pasted photo')}&size=${encodeURIComponent(choice.size)}&grid=${encodeURIComponent(choice.grid)}`, photo, (share) => { byId('sent').value = share; });
  try {
    location.assign(`/block/${(await sending.promise).id}`);
  } catch (error) {
    say(trouble, error.message);
    byId('go').disabled = false;
  }
  sending = null;
  byId('sending').hidden = true;
});
byId('stop-sending').addEventListener('click', () => sending?.stop());

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
