import { say, send } from './shared.js';

const byId = (id) => document.getElementById(id);

/** The form that saves a session in the log, where the page has one. */
export function sessionForm() {
  const form = byId('session-form');
  if (!form) return;
  const date = byId('session-date'), said = byId('session-said'), again = byId('session-again');
  if (!date.value) { const now = new Date(); date.value = `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`; }
  const text = (id) => byId(`session-${id}`)?.value.trim() || null;
  async function save(twice) {
    said.className = '';
    said.textContent = '';
    try {
      const { id } = await send('/api/log', {
        who: text('who'), date: date.value, minutes: text('minutes'), blockMinutes: text('block-minutes'), machine: text('machine'), foot: text('foot'),
        thread: text('thread'), fabric: text('fabric'), note: text('note'), block: form.dataset.block || null, again: twice,
      });
      again.hidden = true;
      const link = document.createElement('a'), progress = document.createElement('a');
      link.href = `/log/${id}`;
      link.textContent = 'Look at it';
      progress.href = `/log/progress?who=${encodeURIComponent(text('who'))}`;
      progress.textContent = 'see the progress';
      said.replaceChildren('Saved in the log. ', link, ' or ', progress, '.');
    } catch (error) {
      said.className = 'trouble';
      said.textContent = error.message;
      again.hidden = !error.message.includes('already');
    }
  }
  form.addEventListener('submit', (event) => { event.preventDefault(); save(false); });
  again.addEventListener('click', () => save(true));
}

export { say, send };
