/** What the findings of a file rest on, beside its own text and the settings, as another process can compare it. */
export interface Basis {
  /** Address and digest of the text of each file that it uses, directly and through others. */
  readonly used: readonly (readonly [uri: string, digest: string])[];
  readonly photos: readonly (readonly [uri: string, isThere: boolean])[];
}
