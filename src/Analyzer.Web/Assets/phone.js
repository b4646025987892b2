import { hand, say } from './shared.js';

const byId = (id) => document.getElementById(id);
const { code, largest } = byId('main').dataset;
let sending = null;

for (const id of ['camera', 'gallery']) byId(id).addEventListener('change', async (event) => {
  const file = event.target.files[0];
  event.target.value = '';
  if (!file || sending) return;
  say(byId('trouble'), '');
  byId('said').textContent = '';
  if (file.size > Number(largest)) { say(byId('trouble'), 'This photo is too large; choose a smaller one.'); return; }
  byId('sent').value = 0;
  byId('sending').hidden = false;
  sending = hand(`/${code}/photo?name=${encodeURIComponent(file.name)}`, file, (share) => { byId('sent').value = share; });
  try {
    await sending.promise;
    byId('said').textContent = '✔ The photo is on the computer. Go on there, or send another.';
  } catch (error) { say(byId('trouble'), error.message); }
  sending = null;
  byId('sending').hidden = true;
});
byId('stop-sending').addEventListener('click', () => sending?.stop());
