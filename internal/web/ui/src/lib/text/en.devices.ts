import { ago } from '../units.ts';

export const devices = {
  title: 'On a phone or tablet',
  lead: 'The bench is made for a screen propped beside the palette.',
  'not.lan': 'This program is reached from this computer alone. To reach it from a phone in the same network, end it and start it with:',
  command: 'facings serve --lan',
  ask: 'Show a code to pair',
  again: 'Another code',
  scan: (until: string) => `Point the phone’s camera at the code. It is good once, until ${until}.`,
  warning: 'The phone will warn of the certificate, since it was made here and nobody else vouches for it. If it can be shown there, compare its fingerprint:',
  qr: (address: string) => `Code that leads to ${address}`,
  paired: 'Paired devices',
  none: 'None yet.',
  since: (when: string) => `paired ${ago(when)}`,
  forget: (name: string) => `Turn ${name} out`,
  forgotten: (name: string) => `${name} must be paired again`,
} as const;
