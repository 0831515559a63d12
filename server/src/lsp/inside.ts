/** Whether a file lies in a folder or below it. Both are URIs as text, equally encoded; the folder itself does not. */
export const isInside = (uri: string, folder: string): boolean =>
  uri.startsWith(folder.endsWith('/') ? folder : `${folder}/`);
