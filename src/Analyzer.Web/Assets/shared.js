// What the pages share: asking the server, building SVG, lengths, the fields for size and pattern.

export const token = document.querySelector('meta[name="workbench-token"]').content;
const svgSpace = 'http://www.w3.org/2000/svg';

/** Asks the server to do something. Gives its answer, or throws an Error with a sentence for the user. */
export async function send(path, body) {
  let answer;
  try {
    answer = await fetch(path, { method: 'POST', headers: { 'X-Workbench-Token': token, 'Content-Type': 'application/json' }, body: JSON.stringify(body ?? {}) });
  } catch {
    throw new Error('The workbench does not answer. If the program was closed, start it again.');
  }
  return read(answer);
}

export async function get(path) {
  let answer;
  try {
    answer = await fetch(path, { headers: { Accept: 'application/json' } });
  } catch {
    throw new Error('The workbench does not answer. If the program was closed, start it again.');
  }
  return read(answer);
}

async function read(answer) {
  if (answer.status === 204) return null;
  let value = null;
  try { value = await answer.json(); } catch { /* told below */ }
  if (!answer.ok) throw new Error(value?.detail ?? 'The workbench gave an answer that was not understood; load the page again.');
  return value;
}

export function svg(name, attributes = {}, parent = null) {
  const element = document.createElementNS(svgSpace, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent?.append(element);
  return element;
}

export function say(element, text) {
  element.textContent = text ?? '';
  element.hidden = !text;
}

const minus = (text) => text.replace('-', '−');

/** A small length in the chosen unit, with give or take 2u where u is known. */
export function length(mm, u, unit) {
  const k = unit === 'in' ? 1 / 25.4 : 1, digits = unit === 'in' ? 3 : 2;
  let value = (mm * k).toFixed(digits);
  if (Number(value) === 0) value = (0).toFixed(digits);
  return minus(value) + (u == null ? '' : ` ± ${(2 * u * k).toFixed(digits)}`) + ' ' + unit;
}

const sizes = { in: [6, 8, 10, 12], cm: [15, 20, 25, 30], mm: [150, 200, 250, 300] };
const spacings = { in: ['1/2', '3/4', '1', '1 1/2', '2'], cm: ['1', '1.5', '2', '2.5', '4'], mm: ['10', '15', '20', '25', '40'] };

/** The fields for size and pattern. Calls changed(grid) with the grid the server works out, or null while the fields make no sense. */
export function choiceForm(changed) {
  const form = document.getElementById('choice');
  const [width, height, unit, pattern, spacing] = ['width', 'height', 'unit', 'pattern', 'spacing'].map((id) => document.getElementById(id));
  const trouble = document.getElementById('choice-trouble');
  const split = (text) => text.trim().match(/^(.*?)\s*(in|cm|mm)$/) ?? ['', text, 'in'];

  const sides = form.dataset.size.split('x');
  const first = split(sides[0]), [name, space] = form.dataset.grid.split(':');
  unit.value = first[2];
  width.value = first[1];
  height.value = split(sides[sides.length - 1])[1];
  pattern.value = name;
  spacing.value = split(space)[1];

  let tied = width.value === height.value, asked = 0, timer = 0;

  function presets(id, values, press, isOn) {
    const box = document.getElementById(id);
    box.replaceChildren(...values.map((value) => {
      const button = document.createElement('button');
      button.type = 'button';
      button.textContent = `${value} ${unit.value}`;
      button.setAttribute('aria-pressed', String(isOn(String(value))));
      button.addEventListener('click', () => { press(String(value)); update(); box.querySelectorAll('button')[values.indexOf(value)].focus(); });
      return button;
    }));
  }

  function draw() {
    document.getElementById('spacing-unit').textContent = unit.options[unit.selectedIndex].text;
    presets('size-presets', sizes[unit.value], (v) => { width.value = height.value = v; tied = true; }, (v) => width.value.trim() === v && height.value.trim() === v);
    presets('spacing-presets', spacings[unit.value], (v) => { spacing.value = v; }, (v) => spacing.value.trim() === v);
  }

  const clean = (input) => input.value.trim().replace(',', '.');
  const state = {
    get size() { return `${clean(width)}${unit.value} x ${clean(height)}${unit.value}`; },
    get grid() { return `${pattern.value}:${clean(spacing)}${unit.value}`; },
    get unit() { return unit.value; },
  };

  async function ask() {
    const mine = ++asked;
    try {
      const grid = await get(`/api/grid?size=${encodeURIComponent(state.size)}&grid=${encodeURIComponent(state.grid)}`);
      if (mine !== asked) return;
      say(trouble, '');
      changed(grid);
    } catch (error) {
      if (mine !== asked) return;
      say(trouble, error.message);
      changed(null);
    }
  }

  function update() {
    draw();
    clearTimeout(timer);
    timer = setTimeout(ask, 120);
  }

  width.addEventListener('input', () => { if (tied) height.value = width.value; update(); });
  height.addEventListener('input', () => { tied = false; update(); });
  spacing.addEventListener('input', update);
  pattern.addEventListener('change', update);
  let before = unit.value;
  unit.addEventListener('change', () => {
    // The same length in the other unit, where it can be read as a plain number.
    const mm = { in: 25.4, cm: 10, mm: 1 };
    for (const field of [width, height, spacing]) {
      const value = number(clean(field));
      if (value !== null) field.value = String(Number((value * mm[before] / mm[unit.value]).toFixed(unit.value === 'mm' ? 1 : 2)));
    }
    before = unit.value;
    update();
  });
  draw();
  ask();
  return state;
}

/** "1", "1.5", "3/4" or "1 1/2" as a number, else null. */
function number(text) {
  const m = text.match(/^(?:(\d+(?:\.\d+)?)|(?:(\d+)\s+)?(\d+)\/(\d+))$/);
  if (!m) return null;
  return m[1] !== undefined ? Number(m[1]) : Number(m[2] ?? 0) + Number(m[3]) / Number(m[4]);
}
