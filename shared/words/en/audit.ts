// English words of the audit pack: the page that says how to check it, and what the check says.

export const auditWords = {
  "audit.read-me": `Audit pack {month} - {firm}, {depot}
Made {madeAt} UTC. {records} records. Pack {pack}.

What is here
  month.pdf           the month to be read by people
  records.ndjson      every record, one a line, in the order in which it was sealed
  records.csv         the same for a spreadsheet
  tree.ndjson         what proves that each record stands in the signed checkpoint
  checkpoints.ndjson  the signed checkpoints of the month and the one of this pack (the last line)
  photos/             {photos}
  keys.json           the public keys (RFC 7517) of the signatures
  manifest.json       length and SHA-256 of each file above
  manifest.jws        the same manifest, signed

How to check it
With a copy of the service:  npm run verify -- PACK.zip
It needs no network and no database. Or with any tools that follow the standards named here:

1. manifest.jws is a JWS in compact form (RFC 7515), ES256. Its header names a key of keys.json by its kid, which is the key's
   thumbprint (RFC 7638). Get the thumbprint from the firm by another way than this file and compare: who can change the whole pack
   can change keys.json too. The payload is manifest.json, byte for byte.
2. SHA-256 and length of every file are those in manifest.json, and no file is here that it does not name, but for the two manifests.
3. A line of records.ndjson is canonical JSON (RFC 8785). Its "dataSha256" is the SHA-256 of the canonical JSON of its "data" and
   "salt" as one object; where both are null, what it said was forgotten and the hash is all that is left. Its "sha256" is the SHA-256
   of the canonical JSON of the line without "sha256", "salt" and "data". "previousSha256" is the "sha256" of the record one
   "position" before it in the same "chainId".
4. The tree is that of RFC 6962, section 2.1; a leaf's data are the 32 bytes of a record's "sha256". tree.ndjson lists the tree from left
   to right: records of this pack (lines without "sha256": one after the other, as in records.ndjson) and, between them, whole
   subtrees (2^level leaves, beginning at index * 2^level) with their hash. Joined they give the root.
5. The last line of checkpoints.ndjson states size and root, signed like the manifest ("jws"). "toLast" of each earlier line is the
   consistency proof of RFC 6962, section 2.1.2, from that checkpoint to the last one: nothing was changed, removed or put in between.
   A checkpoint that you were given before proves the same against what you hold.
6. A file under photos/ has the SHA-256 that it is called by, and a record names it by that ("photos" in its "data").

What it does not prove: that what a person wrote down is true. It proves that it was written down then, and not changed since.
{caution}`,
  "audit.photos.with": "{added} of the {named} photos that the records name, each by the SHA-256 that the record gives",
  "audit.photos.without": "not here: ordered without photos; the records hold the SHA-256 of each",
  "audit.whole-firm": "the whole firm",
  "audit.holds": "The pack holds: {records} records in {chains} chains, checkpoint {checkpoint}, signed by key {kid}.",
  "audit.compare-key": "Compare that key with the thumbprint that the firm gave you.",
  "audit.photos": "{named} photos are named by its records; {added} of them are in it.",
  "audit.gaps": "{gaps} records of other months or depots lie between those of this pack.",
  "audit.fails": "The pack does not hold. {why}",
  "audit.why.not-a-zip": "It cannot be read as a ZIP: {what}.",
  "audit.why.twice": "It holds {name} twice.",
  "audit.why.missing": "{name} is missing.",
  "audit.why.unknown-file": "{name} is not named by the manifest.",
  "audit.why.too-long": "{name} is longer than such a file can be.",
  "audit.why.length": "{name} has another length than the manifest says.",
  "audit.why.hash": "{name} has another SHA-256 than the manifest says.",
  "audit.why.format": "{name} is not in the form that such a pack has: {what}.",
  "audit.why.signature": "The signature of {name} is not by one of its keys.",
  "audit.why.key": "It is signed by key {kid}, not by the one that you named.",
  "audit.why.manifest": "manifest.json is not what was signed.",
  "audit.why.record": "Record {number}, {id}: {what}.",
  "audit.why.record.form": "the line is not in canonical form",
  "audit.why.record.data": "what it says does not have the hash that it carries",
  "audit.why.record.hash": "who, when or what kind does not have the hash that it carries",
  "audit.why.record.chain": "it does not continue the record before it in its chain",
  "audit.why.record.again": "it stands at a place of its chain that another record has",
  "audit.why.count": "The manifest counts {said} {what}, and there are {found}.",
  "audit.why.tree": "The records and the tree do not give the root that was signed.",
  "audit.why.tree.line": "Line {number} of tree.ndjson does not fit where it stands.",
  "audit.why.checkpoint": "Checkpoint {number} does not say what was signed.",
  "audit.why.photo": "{name} is no photo that a record names.",
  "audit.why.consistency": "The checkpoint of the pack does not continue checkpoint {number}.",
} as const;
