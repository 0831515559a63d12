import type { InitializeParams } from 'vscode-languageserver';

/** What the server needs from the process it runs in. `main.ts` and `browser.ts` each provide one. */
export interface Host {
  readonly files: FileSource;
  /** Characters of closed plans that may be read; as many as the server thinks right when absent. */
  readonly maxText?: number;
  /** Files of the folders that may be listed; as many as the server thinks right when absent. */
  readonly maxListed?: number;
  /** Takes from the client's `initialize` what the process itself needs to know. */
  prepare?(params: InitializeParams): void;
  /** Makes of bytes fewer that say the same, and the other way round, where the process can. */
  readonly packing?: { pack(bytes: Uint8Array): Uint8Array; unpack(bytes: Uint8Array): Uint8Array };
  /** Whether values whose JSON is there already may be given to the connection as `encodedJson`. */
  readonly sendsEncoded?: boolean;
  /**
   * What was kept in a folder by the same program.
   * @param looked the folders that are looked at: what lies in them is not believed
   * @returns undefined where it must be done without
   */
  cacheIn?(folder: string, looked: readonly string[]): Cache | undefined;
  /** Told before the checker is loaded where its compiled code may be kept for the next start. */
  keepCodeIn?(cache: () => Cache | undefined): void;
  /**
   * Told before much is read how many bytes the process may take for it before it looks for garbage, and 0 after it: as few as
   * usual.
   */
  letHeapGrow?(by: number): void;
  /** Told before many plans are read one after the other, of which little stays, and after it. */
  expectGarbage?(plans: PlansRead): void;
  /** The day on which acceptances and sources are judged, as an ISO 8601 date. */
  today(): string;
  /** Where the page of a finding can be read, as a URI. */
  pageOf(finding: string): string | undefined;
  /** Lets the process take in what has arrived meanwhile: resolves one turn of its event loop later. */
  turn(): Promise<void>;
}

/** What outlasts the process, under keys. It may be gone at any time, and is never torn. */
export interface Cache {
  /** A digest that nobody can find a second text for. Of several parts it is that of the whole. */
  digest(...parts: readonly string[]): string;
  get(key: string): Uint8Array | undefined;
  put(key: string, content: Uint8Array): void;
  /** To be called now and then after something was put in: drops what was not used for long, and what is too much. */
  sweep(): void;
}

export interface StampedText {
  readonly text: string;
  /** That of the file before it was read: what is written meanwhile changes it. */
  readonly stamp: string | undefined;
}

export interface FileSource {
  /**
   * The text of a file that lies in one of the `roots` (URIs of folders), links followed; `undefined` when there
   * is no such file or it may not be read.
   */
  read(uri: string, roots: readonly string[]): Promise<StampedText | undefined>;
  /**
   * The same for as long as nobody has written to a file; `undefined` where that cannot be told, as of one that was written
   * to a moment ago.
   */
  stamp(uri: string): Promise<string | undefined>;
  /**
   * Whether these photographs exist, as files in one of the `roots` after resolving links; `undefined` if
   * unknown. None is read.
   */
  whichExist(uris: readonly string[], roots: readonly string[]): Promise<readonly (boolean | undefined)[]>;
  /**
   * The bytes of a photograph in one of the `roots` after resolving links; `'large'` if it exceeds `max`,
   * `undefined` when there is none or it may not be read.
   */
  photo(uri: string, roots: readonly string[], max: number): Promise<Uint8Array | 'large' | undefined>;
  /**
   * The address of a file as its disk spells it, where that differs in capitals or in how accented letters are composed from
   * the one given; `undefined` where it does not, or where there is no such file or more than one.
   */
  spelling(uri: string): Promise<string | undefined>;
  /** URIs of the plans, procedures, lists and sheets in these folders and below them, at most `max`. */
  list(roots: readonly string[], max: number): Promise<string[]>;
}

/** What is done with plans that are read one after the other. */
export type PlansRead = 'none' | 'taken over' | 'parsed';
