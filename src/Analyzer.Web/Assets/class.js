import { choiceForm, drawGrid, get, hand, say, send } from './shared.js';

const byId = (id) => document.getElementById(id);
const trouble = byId('trouble');
byId('print')?.addEventListener('click', () => print());
if (byId('class-form')) choose();
if (byId('class-job')) watch(byId('class-job'));

function choose() {
  const form = byId('class-form'), most = Number(form.dataset.most), endings = /\.(jpe?g|png|webp|tiff?|heic|heif|json)$/i;
  const choice = choiceForm((grid) => drawGrid(byId('grid-preview'), byId('grid-words'), grid));
  let photos = [], sending = null, stopped = false;

  /** The folder a photo lies in tells who sewed it, else its name up to the first - or _. */
  function personOf(file) {
    const folders = (file.webkitRelativePath || '').split('/').slice(0, -1);
    if (folders.length > 1) return folders[folders.length - 1];
    return file.name.replace(/\.[^.]*$/, '').split(/[-_]/)[0].trim();
  }

  function add(files) {
    const fresh = [...files].filter((f) => endings.test(f.name) && !f.name.startsWith('.'));
    photos.push(...fresh.map((file) => ({ file, person: personOf(file) })));
    say(trouble, photos.length > most ? `A class has up to ${most} photos here; the class command takes more.` : '');
    photos = photos.slice(0, most);
    list();
  }

  function list() {
    byId('photo-list-box').hidden = photos.length === 0;
    byId('photo-count').textContent = photos.length === 0 ? 'No photos chosen yet.' : `${photos.length} photo${photos.length === 1 ? '' : 's'} of ${new Set(photos.map((p) => p.person.toLowerCase())).size} people.`;
    byId('photo-list').replaceChildren(...photos.map((photo, i) => {
      const row = document.createElement('tr'), person = document.createElement('input'), button = document.createElement('button');
      person.value = photo.person;
      person.maxLength = 40;
      person.size = 12;
      person.setAttribute('aria-label', `Who sewed ${photo.file.name}`);
      person.addEventListener('change', () => { photo.person = person.value.trim(); list(); });
      button.type = 'button';
      button.className = 'link';
      button.textContent = 'Leave out';
      button.setAttribute('aria-label', `Leave out ${photo.file.name}`);
      button.addEventListener('click', () => { photos.splice(i, 1); list(); });
      for (const [k, content] of [person, photo.file.name, button].entries()) { const cell = document.createElement('td'); if (k === 1) cell.className = 'name-cell'; cell.append(content); row.append(cell); }
      return row;
    }));
  }

  for (const id of ['files', 'folder']) byId(id).addEventListener('change', (event) => { add(event.target.files); event.target.value = ''; });
  const drop = byId('drop');
  for (const kind of ['dragenter', 'dragover']) document.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add('over'); });
  for (const kind of ['dragleave', 'drop']) document.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.remove('over'); });
  document.addEventListener('drop', (event) => add(event.dataTransfer?.files ?? []));

  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    if (photos.length === 0) { say(trouble, 'Choose the photos of the class first.'); byId('files').focus(); return; }
    say(trouble, '');
    stopped = false;
    byId('go').disabled = true;
    byId('sending').hidden = false;
    let id = null;
    try {
      ({ id } = await send(`/api/class?size=${encodeURIComponent(choice.size)}&grid=${encodeURIComponent(choice.grid)}`));
      for (const [i, photo] of photos.entries()) {
        sending = hand(`/api/class/${id}/photos?name=${encodeURIComponent(photo.file.name)}&person=${encodeURIComponent(photo.person)}`, photo.file, (share) => { byId('sent').value = (i + share) / photos.length; });
        await sending.promise;
        if (stopped) throw new Error('');
      }
      await send(`/api/class/${id}/start`);
      location.assign(`/class/${id}`);
    } catch (error) {
      say(trouble, error.message);
      if (id) send(`/api/class/${id}/remove`).catch(() => {});
      byId('go').disabled = false;
      byId('sending').hidden = true;
    }
  });
  byId('stop-sending').addEventListener('click', () => { stopped = true; sending?.stop(); });
}

function watch(box) {
  const id = box.dataset.id;
  const act = (button, what, then) => byId(button)?.addEventListener('click', async () => {
    try { await send(`/api/class/${id}/${what}`); location.replace(then); } catch (error) { say(trouble, error.message); }
  });
  act('stop', 'stop', `/class/${id}`);
  act('go-on', 'start', `/class/${id}`);
  act('remove', 'remove', '/class');
  if (box.dataset.working !== '1') return;
  const look = async () => {
    try {
      const state = await get(`/api/class/${id}`);
      if (state.state !== 'working') { location.replace(`/class/${id}`); return; }
      byId('class-progress').value = state.done;
      const words = state.before > 0 ? 'Waiting for its turn.' : `${state.done} of ${state.all} photos done.`;
      if (byId('now').textContent !== words) byId('now').textContent = words;
    } catch (error) { say(trouble, error.message); if (error.message.startsWith('There is nothing')) return; }
    setTimeout(look, 700);
  };
  look();
}
