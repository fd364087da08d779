/** One file to be measured, and what is known of it before it is opened. */
export interface Recording {
  /** As it was given, or found in a folder that was given. */
  readonly path: string;
  readonly role: 'picture' | 'sound';
  /** Somebody said so; a clap log can't make it something else. */
  readonly isRoleStated: boolean;
  /** Wave files are read here, everything else through the port. */
  readonly reader: 'wave' | 'camera';
}
