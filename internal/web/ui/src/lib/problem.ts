import { Problem } from './api.ts';
import { t } from './text/index.ts';

/** What went wrong, for a person: the server's own words where it gave any, the
    first finding where there are some. */
export function inWords(cause: unknown): string {
  if (!(cause instanceof Problem)) return cause instanceof Error ? cause.message : String(cause);
  if (cause.offline) return t('problem.offline');
  const first = cause.findings[0];
  if (first) return first.hint ? `${first.message}: ${first.hint}` : first.message;
  if (cause.detail) return cause.detail;
  switch (cause.status) {
    case 401:
      return t('problem.401');
    case 404:
      return t('problem.404');
    case 413:
      return t('problem.413');
    case 507:
      return t('problem.507');
  }
  return t('problem.else', cause.status);
}
