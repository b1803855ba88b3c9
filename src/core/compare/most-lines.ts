/** Of differences, in a document: the first hundred of their kind. */
export const MOST_LINES = 100;
