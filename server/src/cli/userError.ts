/**
 * Something the person who called the program can put right: a wrong flag, a file that is not there. One clear line, exit 2.
 */
export class UserError extends Error {
  override readonly name = 'UserError';
}
