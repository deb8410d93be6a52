import { en } from './en.ts';

/** Texts by key: a string, or a function of what is put into it. */
export type Texts = Record<string, string | ((...values: never[]) => string)>;

type Values<T extends Texts, K extends keyof T> = T[K] extends (...values: infer V) => string ? V : [];

/** A typed t() over one table of texts. A page makes its own over
    `text/en.<page>.ts`, so that its words are loaded with it. */
export function texts<T extends Texts>(table: T) {
  return <K extends keyof T>(key: K, ...values: Values<T, K>): string => {
    const text = table[key]!;
    return typeof text === 'string' ? text : (text as (...v: unknown[]) => string)(...values);
  };
}

/** The texts that all pages share. */
export const t = texts(en);
