import { get, say, send } from './shared.js';

const list = document.getElementById('stages'), now = document.getElementById('now');

document.getElementById('again')?.addEventListener('click', async (event) => {
  const { id: block, corners, exact } = event.currentTarget.dataset;
  try {
    const { id } = corners ? await send(`/api/blocks/${block}/measure`, { corners: JSON.parse(corners), exact: exact === '1' }) : await send(`/api/blocks/${block}/find`);
    location.assign(`/block/${id}`);
  } catch (error) { say(document.getElementById('trouble'), error.message); }
});

document.getElementById('remove')?.addEventListener('click', async (event) => {
  try {
    await send(`/api/blocks/${event.currentTarget.dataset.id}/remove`);
    location.assign('/');
  } catch (error) { say(document.getElementById('trouble'), error.message); }
});

if (list) {
  const id = list.dataset.id, rows = [...list.children];
  let last = null, seen = '';
  document.getElementById('stop').addEventListener('click', async () => {
    try { await send(`/api/blocks/${id}/stop`); } catch { /* the next look tells */ }
    location.replace(`/block/${id}`);
  });
  const look = async () => {
    try {
      // Answered as soon as something has changed.
      const state = await get(`/api/blocks/${id}?known=${encodeURIComponent(seen)}`);
      seen = state.seen;
      if (state.state !== 'working') { location.replace(`/block/${id}`); return; }
      const at = rows.findIndex((row) => row.dataset.stage === state.stage);
      rows.forEach((row, i) => {
        row.className = at < 0 ? '' : i < at ? 'done' : i === at ? 'doing' : '';
        row.querySelector('.done-word').textContent = at > i ? 'done' : '';
      });
      const words = at < 0 ? (state.before > 1 ? `Waiting for its turn: ${state.before - 1} before it.` : 'Waiting for its turn.') : `${rows[at].firstChild.nextSibling.textContent} …`;
      if (words !== last) now.textContent = last = words;
    } catch (error) {
      now.textContent = error.message;
      if (error.message.startsWith('There is nothing')) return;
      setTimeout(look, 1000);
      return;
    }
    setTimeout(look, 20);
  };
  look();
}
