import { expect, test } from 'vitest';
import { named } from '../../server/src/findings/support/words.ts';
import { languageOf } from '../../server/src/language/language.ts';
import type { Phrase } from '../../server/src/language/phrase.ts';
import { andList } from '../../server/src/language/phrase.ts';
import { builtInTasks } from '../../server/src/plan/tables/tasks.ts';
import type { Operation } from '../../server/src/plan/operations.ts';
import { withCode } from '../../server/src/report/print/html.ts';
import { keyedStepOn, stepOn, stepTitle } from '../../server/src/report/print/task-words.ts';

const step = (taskId: string): Operation => ({ taskId }) as Operation;
const es = languageOf('es');

test.each([
  ['constructor', 'Constructor'],
  ['hasOwnProperty', 'HasOwnProperty'],
  ['wash-down', 'Wash down'],
])('a task of the shop called %s is printed as %s', (taskId, title) => {
  expect(stepTitle(step(taskId))).toBe(title);
});

test.each([
  [3600, 'Wait for capacitors to discharge', 'waiting for the capacitors to discharge'],
  [3601, 'Wait', 'waiting'],
])('a wait of %s s', (si, heading, doing) => {
  const operation = { id: 'op20', taskId: 'wait', time: { si }, task: builtInTasks.get('wait') } as Operation;
  expect((stepTitle(operation) as Phrase).in(undefined)).toBe(heading);
  expect(named(operation).in(undefined)).toBe(`op20 (${doing})`);
});

test('waits in Spanish', () => {
  const ofTime = (si: number): Operation =>
    ({ id: 'op20', taskId: 'wait', time: { si }, task: builtInTasks.get('wait') }) as Operation;
  expect((stepTitle(ofTime(3600)) as Phrase).in(es)).toBe('Esperar la descarga de los condensadores');
  expect((stepTitle(ofTime(3601)) as Phrase).in(es)).toBe('Esperar');
  expect(named(ofTime(3600)).in(es)).toBe('op20 (espera de la descarga de los condensadores)');
  expect(named(ofTime(3601)).in(es)).toBe('op20 (espera)');
});

test.each([
  ['disconnect', 'Disconnect a and b', 'Desconectar a y b'],
  ['uncover', 'Uncover a and b', 'Quitar la protección de a y b'],
  ['lock', 'Close the lock of a and b', 'Cerrar el seguro de a y b'],
  ['check-seated', 'Check fully seated: a and b', 'Comprobar el encaje de a y b'],
  [
    'prove-dead',
    'Prove dead (verify absence of voltage) at a and b',
    'Verificar la ausencia de tensión en a y b',
  ],
  ['measure-bonding', 'Measure bonding resistance of a and b', 'Medir la conexión equipotencial de a y b'],
  ['bleed', 'Bleed a and b', 'Purgar a y b'],
  ['purge', 'Free a and b of fuel vapour', 'Desgasificar a y b'],
  ['relieve-pressure', 'Relieve the pressure of a and b', 'Descargar la presión de a y b'],
  ['leak-test', 'Leak-test a and b', 'Probar la estanqueidad de a y b'],
  ['grind', 'Grind (a and b)', 'Esmerilar (a y b)'],
  ['wash-down', 'Wash down (a and b)', 'Wash down (a y b)'],
])('%s with connectors reads as a phrase', (taskId, english, spanish) => {
  const phrase = stepOn(step(taskId), andList(['a', 'b']));
  expect(phrase.in(undefined)).toBe(english);
  expect(phrase.in(es)).toBe(spanish);
});

test('in Spanish no task puts a colon between itself and its connectors', () => {
  for (const id of builtInTasks.keys()) expect(stepOn(step(id), 'a').in(es)).not.toContain(':');
});

test('on a page only the words of the task stand out, and names from a file are escaped', () => {
  const page = (taskId: string, language: typeof es): string => keyedStepOn(step(taskId), '<a>').in(language);
  expect(page('uncover', es)).toBe('<span class="key">Quitar la protección de </span>&lt;a&gt;');
  expect(page('check-seated', undefined)).toBe('<span class="key">Check fully seated: </span>&lt;a&gt;');
  expect(page('grind', undefined)).toBe('<span class="key">Grind</span> (&lt;a&gt;)');
});

test('what is to be written into a file stands out in a message, and nothing in it becomes markup', () => {
  expect(String(withCode('State `a: <b>` & go.'))).toBe('State <code>a: &lt;b&gt;</code> &amp; go.');
  expect(String(withCode('one ` alone'))).toBe('one ` alone');
});
