import { hand, say } from './shared.js';

const byId = (id) => document.getElementById(id);
byId('print')?.addEventListener('click', () => print());

// Before and after on top of each other, parted by a bar.
const cut = byId('cut'), swipe = byId('swipe');
if (cut && swipe) cut.addEventListener('input', () => swipe.style.setProperty('--cut', `${cut.value}%`));

byId('open-reports')?.addEventListener('change', async (event) => {
  const keys = [];
  try {
    for (const file of event.target.files) keys.push((await hand(`/api/reports?name=${encodeURIComponent(file.name)}`, file, () => {}).promise).key);
    const before = keys[0] ?? '', after = keys[1] ?? '';
    location.assign(`/compare?before=${before || byId('before').value}&after=${after || byId('after').value}`);
  } catch (error) { say(byId('trouble'), error.message); }
  event.target.value = '';
});
