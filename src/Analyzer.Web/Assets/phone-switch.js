import { choiceForm, get, say, send, svg } from './shared.js';

const byId = (id) => document.getElementById(id);
const choice = choiceForm(() => {});
let seen = 0, watching = false;

function show(state) {
  byId('door-shut').hidden = state.open;
  byId('door-open').hidden = !state.open;
  if (!state.open || !state.address) return;
  byId('door-address').textContent = state.address;
  const qr = byId('qr');
  qr.replaceChildren();
  qr.setAttribute('viewBox', `0 0 ${state.side} ${state.side}`);
  svg('rect', { width: state.side, height: state.side, fill: '#fff' }, qr);
  svg('path', { d: state.qr, fill: '#000', 'shape-rendering': 'crispEdges' }, qr);
}

async function watch() {
  if (watching) return;
  watching = true;
  try {
    for (;;) {
      const state = await get('/api/phone');
      if (!state.open) { show(state); break; }
      // A photo has come: on with it.
      if (state.blocks.length > seen) { location.assign(`/block/${state.blocks[state.blocks.length - 1]}`); break; }
      byId('door-state').textContent = state.hasDevice ? 'A phone is connected. Take the photo there.' : 'Waiting for the phone …';
      byId('door-left').textContent = `Open for ${Math.floor(state.secondsLeft / 60)}:${String(state.secondsLeft % 60).padStart(2, '0')} more.`;
      await new Promise((go) => setTimeout(go, 1000));
    }
  } catch (error) { say(byId('trouble'), error.message); }
  watching = false;
}

async function open() {
  say(byId('trouble'), '');
  try {
    show(await send('/api/phone/open', { size: choice.size, grid: choice.grid, address: byId('address')?.value ?? null }));
    seen = 0;
    watch();
  } catch (error) { say(byId('trouble'), error.message); }
}
byId('open-door')?.addEventListener('click', open);
byId('close-door').addEventListener('click', async () => { try { show(await send('/api/phone/close')); } catch (error) { say(byId('trouble'), error.message); } });
