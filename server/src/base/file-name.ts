/** The last part of a URI, as a person reads it. */
export const fileName = (uri: string): string => decodeURIComponent(uri.slice(uri.lastIndexOf('/') + 1));
