/**
 * The public rules and standards that are cited, each in one edition. Clause numbers beside them are of that edition.
 * ISO 6469-4:2015, 5.2.2 is the voltage after a crash (60 V DC, 30 V AC); the 0.2 J of stored energy stand elsewhere in it.
 */
export const standards = {
  r100: 'UN R100 Rev. 3',
  vehicleElectricalSafety: 'ISO 6469-3:2021',
  vehicleAfterCrash: 'ISO 6469-4:2015',
  hotSurfaces: 'ISO 13732-1:2006',
  conductors: 'IEC 60228:2004',
} as const;
