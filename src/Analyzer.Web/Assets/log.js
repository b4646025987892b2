import { hand } from './shared.js';
import { say, send, sessionForm } from './session.js';

const byId = (id) => document.getElementById(id);
const trouble = byId('trouble');
byId('print')?.addEventListener('click', () => print());
sessionForm();

const tell = async (work) => { try { byId('log-said').textContent = (await work()).words; } catch (error) { say(trouble, error.message); } };
byId('backup')?.addEventListener('click', () => tell(() => send('/api/log/backup')));
byId('import')?.addEventListener('change', async (event) => {
  const file = event.target.files[0];
  if (file) await tell(() => hand('/api/log/import', file, () => {}).promise);
  event.target.value = '';
});
byId('forget')?.addEventListener('submit', async (event) => {
  event.preventDefault();
  if (!byId('forget-sure').checked) { say(trouble, 'Tick "I am sure" first.'); return; }
  say(trouble, '');
  await tell(() => send('/api/log/forget', { who: byId('forget-who').value }));
});
byId('remove-session')?.addEventListener('submit', async (event) => {
  event.preventDefault();
  if (!byId('remove-sure').checked) { say(trouble, 'Tick the box before the button first.'); return; }
  try { await send(`/api/log/${event.currentTarget.dataset.id}/remove`); location.assign('/log'); } catch (error) { say(trouble, error.message); }
});
