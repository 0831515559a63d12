/** The first argument of a thread of a run; only where it is given is the library of threads loaded to look whether this is one. */
export const threadArgument = ':thread';
