import type { Finding } from './finding.ts';
import { acceptanceExpired } from './acceptance-expired.ts';
import { acceptanceUnmatched } from './acceptance-unmatched.ts';
import { bakeLimit } from './bake-limit.ts';
import { bareConnector } from './bare-connector.ts';
import { blankToFill } from './blank-to-fill.ts';
import { bondingHigh } from './bonding-high.ts';
import { bondingUnproven } from './bonding-unproven.ts';
import { calibrationMissing } from './calibration-missing.ts';
import { closedUnopened } from './closed-unopened.ts';
import { contactTooHot } from './contact-too-hot.ts';
import { coverLeftOn } from './cover-left-on.ts';
import { coverUnnamed } from './cover-unnamed.ts';
import { dutyCycleImpossible } from './duty-cycle-impossible.ts';
import { earlyUncover } from './early-uncover.ts';
import { evidenceMissing } from './evidence-missing.ts';
import { exposed } from './exposed.ts';
import { fileMissing } from './file-missing.ts';
import { gloveClass } from './glove-class.ts';
import { halfCovered } from './half-covered.ts';
import { heatOverBudget } from './heat-over-budget.ts';
import { hoursStep } from './hours-step.ts';
import { hoursUnlikeSheet } from './hours-unlike-sheet.ts';
import { idTwice } from './id-twice.ts';
import { inspectionMissing } from './inspection-missing.ts';
import { interlockUnproven } from './interlock-unproven.ts';
import { isolationLow } from './isolation-low.ts';
import { isolationUnproven } from './isolation-unproven.ts';
import { keyMissing } from './key-missing.ts';
import { keyTwice } from './key-twice.ts';
import { keyUnknown } from './key-unknown.ts';
import { knockUnchecked } from './knock-unchecked.ts';
import { labourMissing } from './labour-missing.ts';
import { labourOrphan } from './labour-orphan.ts';
import { labourTwice } from './labour-twice.ts';
import { lateCover } from './late-cover.ts';
import { leakUntested } from './leak-untested.ts';
import { limitMissing } from './limit-missing.ts';
import { liveOpening } from './live-opening.ts';
import { materialMissing } from './material-missing.ts';
import { measurementMissing } from './measurement-missing.ts';
import { meterRating } from './meter-rating.ts';
import { neverEnds } from './never-ends.ts';
import { notReconnected } from './not-reconnected.ts';
import { notYaml } from './not-yaml.ts';
import { openedTwice } from './opened-twice.ts';
import { orderCycle } from './order-cycle.ts';
import { orderUnclear } from './order-unclear.ts';
import { parameterMissing } from './parameter-missing.ts';
import { parameterUnused } from './parameter-unused.ts';
import { parameterWrong } from './parameter-wrong.ts';
import { photoMissing } from './photo-missing.ts';
import { referenceMissing } from './reference-missing.ts';
import { resistanceHigh } from './resistance-high.ts';
import { resistanceUndecided } from './resistance-undecided.ts';
import { resistanceUnmeasured } from './resistance-unmeasured.ts';
import { restraintLive } from './restraint-live.ts';
import { scanMissing } from './scan-missing.ts';
import { sealMissing } from './seal-missing.ts';
import { seatUnproven } from './seat-unproven.ts';
import { signOffMissing } from './sign-off-missing.ts';
import { softeningVoltage } from './softening-voltage.ts';
import { sourceMissing } from './source-missing.ts';
import { sourceStale } from './source-stale.ts';
import { tooLarge } from './too-large.ts';
import { twoWire } from './two-wire.ts';
import { unitMissing } from './unit-missing.ts';
import { unitWrong } from './unit-wrong.ts';
import { unknownId } from './unknown-id.ts';
import { unlocked } from './unlocked.ts';
import { unqualified } from './unqualified.ts';
import { unusedId } from './unused-id.ts';
import { useCycle } from './use-cycle.ts';
import { valueWrong } from './value-wrong.ts';
import { vinCheckDigit } from './vin-check-digit.ts';
import { waitTooShort } from './wait-too-short.ts';
import { weakCover } from './weak-cover.ts';
import { weldConnected } from './weld-connected.ts';

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
  photoMissing,
  useCycle,
  unknownId,
  idTwice,
  vinCheckDigit,
  dutyCycleImpossible,
  sourceMissing,
  sourceStale,
  parameterMissing,
  parameterUnused,
  parameterWrong,
  unusedId,
  orderCycle,
  orderUnclear,
  liveOpening,
  waitTooShort,
  gloveClass,
  meterRating,
  unqualified,
  weldConnected,
  bakeLimit,
  openedTwice,
  closedUnopened,
  restraintLive,
  bareConnector,
  lateCover,
  halfCovered,
  earlyUncover,
  exposed,
  weakCover,
  coverUnnamed,
  coverLeftOn,
  inspectionMissing,
  sealMissing,
  notReconnected,
  unlocked,
  seatUnproven,
  leakUntested,
  scanMissing,
  calibrationMissing,
  neverEnds,
  resistanceUnmeasured,
  isolationUnproven,
  interlockUnproven,
  bondingUnproven,
  measurementMissing,
  resistanceHigh,
  resistanceUndecided,
  twoWire,
  isolationLow,
  bondingHigh,
  heatOverBudget,
  contactTooHot,
  softeningVoltage,
  limitMissing,
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
