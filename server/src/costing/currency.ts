/**
 * ISO 4217: how many decimals the minor unit of a currency has. Codes without a minor unit (precious metals, bond
 * units, test codes) are left out, because no estimate is written in them.
 */
const codesByDecimals: readonly (readonly [decimals: number, codes: string])[] = [
  [0, 'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF'],
  [
    2,
    'AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW ' +
      'CNY COP COU CRC CUC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF ' +
      'IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN ' +
      'MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS ' +
      'SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XCD YER ZAR ZMW ZWG',
  ],
  [3, 'BHD IQD JOD KWD LYD OMR TND'],
  [4, 'CLF UYW'],
];

const decimalsOf: ReadonlyMap<string, number> = new Map(
  codesByDecimals.flatMap(([decimals, codes]) => codes.split(' ').map((code) => [code, decimals] as const)),
);

/** Decimals of the minor unit: 2 for EUR, 0 for JPY, 3 for KWD; undefined for a code that is none of ISO 4217's. */
export const minorUnitDecimals = (currency: string): number | undefined => decimalsOf.get(currency);

export const currencies: readonly string[] = [...decimalsOf.keys()];
