// Which machines have something, as data and not as code, so that a sheet can be frozen, hashed and read without this program.
import type { Features } from "../contracts/machine-model.ts";

/** `any`: every machine. A feature is named by its path (`brakes.front.kind`); one that a model leaves out is null. */
export type Condition =
  | "any"
  | { readonly feature: string; readonly in: readonly (string | boolean | null)[] }
  | { readonly all: readonly Condition[] }
  | { readonly either: readonly Condition[] };

/** A question about a machine's features, with the same question as data. */
export interface Applies {
  (features: Features): boolean;
  readonly says: Condition;
}

const featureAt = (features: Features, path: string): unknown =>
  path.split(".").reduce<unknown>((held, name) => (held as Readonly<Record<string, unknown>> | undefined)?.[name], features) ?? null;

const holds = (condition: Condition, features: Features): boolean => {
  if (condition === "any") return true;
  if ("all" in condition) return condition.all.every((one) => holds(one, features));
  if ("either" in condition) return condition.either.some((one) => holds(one, features));
  return (condition.in as readonly unknown[]).includes(featureAt(features, condition.feature));
};

export const applying = (says: Condition): Applies => Object.assign((features: Features) => holds(says, features), { says });

export const all = (...these: readonly Applies[]): Applies => applying({ all: these.map(({ says }) => says) });
export const either = (...these: readonly Applies[]): Applies => applying({ either: these.map(({ says }) => says) });
