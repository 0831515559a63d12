import type { FindingRule } from './finding.ts';
import { glovesExpired } from './rules/safety/gloves-expired.ts';
import { glovesUnstated } from './rules/safety/gloves-unstated.ts';
import { poweredWork } from './rules/safety/powered-work.ts';
import { lockLeftOn } from './rules/safety/lock-left-on.ts';
import { lockOfAnother } from './rules/safety/lock-of-another.ts';
import { noOwnLock } from './rules/safety/no-own-lock.ts';
import { inflatorNear } from './rules/safety/inflator-near.ts';
import { cleanerConductive } from './rules/safety/cleaner-conductive.ts';
import { oilConductive } from './rules/safety/oil-conductive.ts';
import { toolAtLine } from './rules/safety/tool-at-line.ts';
import { cableUnchecked } from './rules/safety/cable-unchecked.ts';
import { proofPlaceUnstated } from './rules/safety/proof-place-unstated.ts';
import { highVoltageRepaired } from './rules/safety/high-voltage-repaired.ts';
import { precautionWaived } from './rules/safety/precaution-waived.ts';
import { notAtOnce } from './rules/safety/not-at-once.ts';
import { highVoltageBare } from './rules/safety/high-voltage-bare.ts';
import { batteryConnected } from './rules/safety/battery-connected.ts';
import { heatAtLine } from './rules/safety/heat-at-line.ts';
import { earthPowered } from './rules/safety/earth-powered.ts';
import { adhesiveUncured } from './rules/order/adhesive-uncured.ts';
import { circuitEmpty } from './rules/order/circuit-empty.ts';
import { filledEarly } from './rules/order/filled-early.ts';
import { testVoltageWrong } from './rules/measurement/test-voltage-wrong.ts';
import { insulationOnElectronics } from './rules/measurement/insulation-on-electronics.ts';
import { acceptanceExpired } from './rules/document/acceptance-expired.ts';
import { acceptanceUnmatched } from './rules/document/acceptance-unmatched.ts';
import { bakeLimit } from './rules/safety/bake-limit.ts';
import { bareConnector } from './rules/protection/bare-connector.ts';
import { blankToFill } from './rules/money/blank-to-fill.ts';
import { bondingHigh } from './rules/measurement/bonding-high.ts';
import { bondingUnproven } from './rules/measurement/bonding-unproven.ts';
import { calibrationMissing } from './rules/order/calibration-missing.ts';
import { hoursUnlikePlanned } from './rules/money/hours-unlike-planned.ts';
import { claimUnsupported } from './rules/money/claim-unsupported.ts';
import { closedUnopened } from './rules/order/closed-unopened.ts';
import { contactTooHot } from './rules/measurement/contact-too-hot.ts';
import { thermalRunaway } from './rules/measurement/thermal-runaway.ts';
import { coverLeftOn } from './rules/protection/cover-left-on.ts';
import { coverUnnamed } from './rules/protection/cover-unnamed.ts';
import { dutyCycleImpossible } from './rules/measurement/duty-cycle-impossible.ts';
import { earlyUncover } from './rules/protection/early-uncover.ts';
import { evidenceMissing } from './rules/money/evidence-missing.ts';
import { exposed } from './rules/protection/exposed.ts';
import { errorsLowered } from './rules/document/errors-lowered.ts';
import { fileMissing } from './rules/document/file-missing.ts';
import { fileMisspelled } from './rules/document/file-misspelled.ts';
import { findingRenamed } from './rules/document/finding-renamed.ts';
import { gloveClass } from './rules/safety/glove-class.ts';
import { halfCovered } from './rules/protection/half-covered.ts';
import { heatOverBudget } from './rules/measurement/heat-over-budget.ts';
import { hoursStep } from './rules/money/hours-step.ts';
import { hoursUnlikeSheet } from './rules/money/hours-unlike-sheet.ts';
import { idTwice } from './rules/document/id-twice.ts';
import { inspectionMissing } from './rules/protection/inspection-missing.ts';
import { interlockUnproven } from './rules/order/interlock-unproven.ts';
import { insulationLow } from './rules/measurement/insulation-low.ts';
import { insulationUnproven } from './rules/measurement/insulation-unproven.ts';
import { keyMissing } from './rules/document/key-missing.ts';
import { keyTwice } from './rules/document/key-twice.ts';
import { keyUnknown } from './rules/document/key-unknown.ts';
import { knockUnchecked } from './rules/protection/knock-unchecked.ts';
import { labourMissing } from './rules/money/labour-missing.ts';
import { labourOrphan } from './rules/money/labour-orphan.ts';
import { labourTwice } from './rules/money/labour-twice.ts';
import { lateCover } from './rules/protection/late-cover.ts';
import { leakUntested } from './rules/order/leak-untested.ts';
import { limitMissing } from './rules/measurement/limit-missing.ts';
import { liveOpening } from './rules/safety/live-opening.ts';
import { igniterMeasured } from './rules/safety/igniter-measured.ts';
import { proofStale } from './rules/safety/proof-stale.ts';
import { chargedByTest } from './rules/safety/charged-by-test.ts';
import { cutAtCables } from './rules/safety/cut-at-cables.ts';
import { workAtBattery } from './rules/safety/work-at-battery.ts';
import { poweredBeside } from './rules/safety/powered-beside.ts';
import { insulationTestBeside } from './rules/safety/insulation-test-beside.ts';
import { gasLetOut } from './rules/safety/gas-let-out.ts';
import { lineFull } from './rules/safety/line-full.ts';
import { notQualified } from './rules/safety/not-qualified.ts';
import { batteryUnready } from './rules/safety/battery-unready.ts';
import { shutDownUnknown } from './rules/safety/shut-down-unknown.ts';
import { restraintBare } from './rules/safety/restraint-bare.ts';
import { rolledUnbraked } from './rules/safety/rolled-unbraked.ts';
import { driveWheels } from './rules/safety/drive-wheels.ts';
import { isolatingUnprotected } from './rules/safety/isolating-unprotected.ts';
import { fortyEightVoltLive } from './rules/safety/48-volt-live.ts';
import { supplyOff } from './rules/order/supply-off.ts';
import { connectorsMissing } from './rules/order/connectors-missing.ts';
import { zoneMissing } from './rules/order/zone-missing.ts';
import { scanStale } from './rules/order/scan-stale.ts';
import { needUnmet } from './rules/order/need-unmet.ts';
import { liveWork } from './rules/safety/live-work.ts';
import { needsUnstated } from './rules/safety/needs-unstated.ts';
import { materialMissing } from './rules/money/material-missing.ts';
import { measurementMissing } from './rules/measurement/measurement-missing.ts';
import { meterRating } from './rules/safety/meter-rating.ts';
import { neverClosed } from './rules/order/never-closed.ts';
import { notReconnected } from './rules/order/not-reconnected.ts';
import { notYaml } from './rules/document/not-yaml.ts';
import { openedTwice } from './rules/order/opened-twice.ts';
import { orderCycle } from './rules/order/order-cycle.ts';
import { orderUnclear } from './rules/order/order-unclear.ts';
import { parameterMissing } from './rules/document/parameter-missing.ts';
import { parameterUnused } from './rules/document/parameter-unused.ts';
import { parameterWrong } from './rules/document/parameter-wrong.ts';
import { photoMissing } from './rules/money/photo-missing.ts';
import { referenceMissing } from './rules/money/reference-missing.ts';
import { readingEarly } from './rules/measurement/reading-early.ts';
import { readingUnplaced } from './rules/measurement/reading-unplaced.ts';
import { valueImplausible } from './rules/measurement/value-implausible.ts';
import { classContradicted } from './rules/document/class-contradicted.ts';
import { zoneContradicted } from './rules/document/zone-contradicted.ts';
import { dateWrong } from './rules/document/date-wrong.ts';
import { resistanceHigh } from './rules/measurement/resistance-high.ts';
import { resistanceUndecided } from './rules/measurement/resistance-undecided.ts';
import { resistanceUnmeasured } from './rules/measurement/resistance-unmeasured.ts';
import { restraintLive } from './rules/safety/restraint-live.ts';
import { handedOverEarly } from './rules/order/handed-over-early.ts';
import { refitMissing } from './rules/order/refit-missing.ts';
import { scanMissing } from './rules/order/scan-missing.ts';
import { sealMissing } from './rules/protection/seal-missing.ts';
import { seatUnproven } from './rules/order/seat-unproven.ts';
import { signOffMissing } from './rules/safety/sign-off-missing.ts';
import { softeningVoltage } from './rules/measurement/softening-voltage.ts';
import { sourceMissing } from './rules/document/source-missing.ts';
import { sourceStale } from './rules/document/source-stale.ts';
import { tooLarge } from './rules/document/too-large.ts';
import { twoWire } from './rules/measurement/two-wire.ts';
import { unitMissing } from './rules/document/unit-missing.ts';
import { unitWrong } from './rules/document/unit-wrong.ts';
import { unknownId } from './rules/document/unknown-id.ts';
import { unlocked } from './rules/order/unlocked.ts';
import { unqualified } from './rules/safety/unqualified.ts';
import { unusedId } from './rules/document/unused-id.ts';
import { useCycle } from './rules/document/use-cycle.ts';
import { valueWrong } from './rules/document/value-wrong.ts';
import { vinCheckDigit } from './rules/document/vin-check-digit.ts';
import { waitTooShort } from './rules/safety/wait-too-short.ts';
import { weakCover } from './rules/protection/weak-cover.ts';
import { weldConnected } from './rules/safety/weld-connected.ts';

/** Every finding, in the order in which they are worth reading: the text first, then the names, the work, the bill. */
export const findings: readonly FindingRule[] = [
  notYaml,
  tooLarge,
  keyTwice,
  keyUnknown,
  keyMissing,
  valueWrong,
  unitMissing,
  unitWrong,
  fileMissing,
  fileMisspelled,
  photoMissing,
  useCycle,
  unknownId,
  idTwice,
  classContradicted,
  zoneContradicted,
  vinCheckDigit,
  dutyCycleImpossible,
  valueImplausible,
  dateWrong,
  sourceMissing,
  sourceStale,
  parameterMissing,
  parameterUnused,
  parameterWrong,
  unusedId,
  findingRenamed,
  orderCycle,
  orderUnclear,
  connectorsMissing,
  zoneMissing,
  needUnmet,
  liveOpening,
  liveWork,
  needsUnstated,
  highVoltageRepaired,
  precautionWaived,
  notAtOnce,
  proofStale,
  chargedByTest,
  isolatingUnprotected,
  glovesUnstated,
  glovesExpired,
  proofPlaceUnstated,
  noOwnLock,
  lockOfAnother,
  lockLeftOn,
  insulationTestBeside,
  poweredBeside,
  poweredWork,
  cutAtCables,
  cableUnchecked,
  workAtBattery,
  batteryUnready,
  fortyEightVoltLive,
  lineFull,
  gasLetOut,
  filledEarly,
  circuitEmpty,
  refitMissing,
  handedOverEarly,
  adhesiveUncured,
  heatAtLine,
  toolAtLine,
  oilConductive,
  cleanerConductive,
  notQualified,
  driveWheels,
  rolledUnbraked,
  shutDownUnknown,
  waitTooShort,
  gloveClass,
  meterRating,
  unqualified,
  weldConnected,
  bakeLimit,
  openedTwice,
  closedUnopened,
  restraintLive,
  igniterMeasured,
  insulationOnElectronics,
  testVoltageWrong,
  earthPowered,
  inflatorNear,
  restraintBare,
  highVoltageBare,
  batteryConnected,
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
  supplyOff,
  unlocked,
  seatUnproven,
  leakUntested,
  scanMissing,
  scanStale,
  calibrationMissing,
  neverClosed,
  resistanceUnmeasured,
  insulationUnproven,
  interlockUnproven,
  bondingUnproven,
  measurementMissing,
  readingEarly,
  readingUnplaced,
  resistanceHigh,
  resistanceUndecided,
  twoWire,
  insulationLow,
  bondingHigh,
  heatOverBudget,
  contactTooHot,
  thermalRunaway,
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
  claimUnsupported,
  hoursUnlikePlanned,
  blankToFill,
  evidenceMissing,
  signOffMissing,
  acceptanceExpired,
  acceptanceUnmatched,
  errorsLowered,
];

export const findingIds: readonly string[] = findings.map(({ id }) => id);

export const findingById: ReadonlyMap<string, FindingRule> = new Map(
  findings.map((finding) => [finding.id, finding]),
);
