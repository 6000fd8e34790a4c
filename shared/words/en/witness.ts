// English words of the witness from outside: why what it said does not count.

export const witnessWords = {
  "witness.why.form": "It is no time-stamp in the form of RFC 3161.",
  "witness.why.refused": "The authority refused with status {status}: {said}.",
  "witness.why.imprint": "The time-stamp is of something else.",
  "witness.why.nonce": "The time-stamp answers another question than the one that was asked.",
  "witness.why.signature": "The signature of the time-stamp does not hold.",
  "witness.why.certificate": "What was signed does not name the certificate that it comes with.",
  "witness.why.authority":
    "The certificate of the time-stamp was not issued by one of the authorities that are believed, or did not hold at that moment.",
  "witness.why.use": "The certificate of the time-stamp is not for time-stamping alone.",
  "witness.why.expired": "The certificate of the time-stamp did not hold at the moment that the time-stamp says.",
  "witness.why.weak": "The time-stamp rests on a hash that is too weak, such as SHA-1.",
  "witness.why.time": "The time-stamp says {said}, which is more than {minutes} minutes from the time here.",
  "witness.why.early": "The time-stamp is of {said}, before the checkpoint says that it was taken.",
  "witness.why.status": "The witness answered with HTTP status {status}; it is followed to no other address.",
  "witness.why.media": "The witness answered with {type}, not with application/timestamp-reply.",
  "witness.why.large": "The witness answered with more than {kilobytes} KB.",
  "witness.why.slow": "The witness did not answer within {seconds} seconds.",
  "witness.why.unreachable": "The witness cannot be reached: {what}.",
  "audit.read-me.time-stamps": "what an authority outside says of when a checkpoint existed: {stamps} of {checkpoints}",
  "audit.read-me.time-stamps.none": "not here: no authority outside has seen one of the checkpoints",
  "audit.time-stamps.none":
    "None of its {checkpoints} checkpoints is time-stamped by an authority outside: when they were made, only the firm says.",
  "audit.time-stamps": "{stamps} of its {checkpoints} checkpoints are time-stamped, by {authorities}.",
  "audit.time-stamps.own": "Its own checkpoint, and so every record in it, existed before {at}.",
  "audit.time-stamps.not-own": "Its own checkpoint is not among them.",
  "audit.time-stamps.not-judged": "Who signed the time-stamps was not judged: name the authorities that you believe, with --ca FILE.",
  "audit.print": "Print of its own checkpoint (SHA-256): {hash}",
  "audit.print.found":
    "The print that you named is that of checkpoint {number} of {taken}: the {records} records that it covers are unchanged in this one.",
  "audit.why.print": "None of its checkpoints has the print that you named.",
  "audit.why.time-stamp": "The time-stamp of checkpoint {number} does not count. {what}",
  "audit.why.time-stamp.of-none": "There is a time-stamp of checkpoint {number}, which is not in the pack.",
  "audit.why.time-stamp.twice": "Checkpoint {number} has two time-stamps.",
} as const;
