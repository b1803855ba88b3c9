/** The test file that is being run, from the root of the project. */
export const testFile = { name: '' };
