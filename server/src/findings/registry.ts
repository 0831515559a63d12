import type { Finding } from './finding.ts';
import { acceptanceExpired } from './acceptance-expired.ts';
import { acceptanceUnmatched } from './acceptance-unmatched.ts';
import { bareConnector } from './bare-connector.ts';
import { blankToFill } from './blank-to-fill.ts';
import { calibrationMissing } from './calibration-missing.ts';
import { closedUnopened } from './closed-unopened.ts';
import { coverLeftOn } from './cover-left-on.ts';
import { coverUnnamed } from './cover-unnamed.ts';
import { earlyUncover } from './early-uncover.ts';
import { evidenceMissing } from './evidence-missing.ts';
import { exposed } from './exposed.ts';
import { fileMissing } from './file-missing.ts';
import { halfCovered } from './half-covered.ts';
import { hoursStep } from './hours-step.ts';
import { hoursUnlikeSheet } from './hours-unlike-sheet.ts';
import { idTwice } from './id-twice.ts';
import { inspectionMissing } from './inspection-missing.ts';
import { keyMissing } from './key-missing.ts';
import { keyTwice } from './key-twice.ts';
import { keyUnknown } from './key-unknown.ts';
import { knockUnchecked } from './knock-unchecked.ts';
import { labourMissing } from './labour-missing.ts';
import { labourOrphan } from './labour-orphan.ts';
import { labourTwice } from './labour-twice.ts';
import { lateCover } from './late-cover.ts';
import { leakUntested } from './leak-untested.ts';
import { materialMissing } from './material-missing.ts';
import { neverEnds } from './never-ends.ts';
import { notReconnected } from './not-reconnected.ts';
import { notYaml } from './not-yaml.ts';
import { openedTwice } from './opened-twice.ts';
import { orderCycle } from './order-cycle.ts';
import { orderUnclear } from './order-unclear.ts';
import { parameterMissing } from './parameter-missing.ts';
import { parameterUnused } from './parameter-unused.ts';
import { parameterWrong } from './parameter-wrong.ts';
import { referenceMissing } from './reference-missing.ts';
import { scanMissing } from './scan-missing.ts';
import { seatUnproven } from './seat-unproven.ts';
import { signOffMissing } from './sign-off-missing.ts';
import { sourceMissing } from './source-missing.ts';
import { sourceStale } from './source-stale.ts';
import { tooLarge } from './too-large.ts';
import { unitMissing } from './unit-missing.ts';
import { unitWrong } from './unit-wrong.ts';
import { unknownId } from './unknown-id.ts';
import { unlocked } from './unlocked.ts';
import { unusedId } from './unused-id.ts';
import { useCycle } from './use-cycle.ts';
import { valueWrong } from './value-wrong.ts';
import { vinCheckDigit } from './vin-check-digit.ts';
import { weakCover } from './weak-cover.ts';

/** Every finding, in the order in which they are worth reading: the text first, then the names, the work, the bill. */
export const findings: readonly Finding[] = [
  notYaml,
  tooLarge,
  keyTwice,
  keyUnknown,
  keyMissing,
  valueWrong,
  unitMissing,
  unitWrong,
  fileMissing,
  useCycle,
  unknownId,
  idTwice,
  vinCheckDigit,
  sourceMissing,
  sourceStale,
  parameterMissing,
  parameterUnused,
  parameterWrong,
  unusedId,
  orderCycle,
  orderUnclear,
  openedTwice,
  closedUnopened,
  bareConnector,
  lateCover,
  halfCovered,
  earlyUncover,
  exposed,
  weakCover,
  coverUnnamed,
  coverLeftOn,
  inspectionMissing,
  notReconnected,
  unlocked,
  seatUnproven,
  leakUntested,
  scanMissing,
  calibrationMissing,
  neverEnds,
  knockUnchecked,
  labourMissing,
  materialMissing,
  labourOrphan,
  labourTwice,
  hoursUnlikeSheet,
  hoursStep,
  referenceMissing,
  blankToFill,
  evidenceMissing,
  signOffMissing,
  acceptanceExpired,
  acceptanceUnmatched,
];

export const findingIds: readonly string[] = findings.map(({ id }) => id);

export const findingById: ReadonlyMap<string, Finding> = new Map(
  findings.map((finding) => [finding.id, finding]),
);
