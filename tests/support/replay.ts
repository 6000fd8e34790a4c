// Loaded where FC_SEED is set: every property of the run takes this seed, and FC_PATH where it is given, as a failure has printed them.
import fc from "fast-check";

const { FC_SEED, FC_PATH } = process.env;
fc.configureGlobal({
  ...fc.readConfigureGlobal(),
  ...(FC_SEED === undefined ? {} : { seed: Number(FC_SEED) }),
  ...(FC_PATH === undefined ? {} : { path: FC_PATH, endOnFailure: true }),
});
