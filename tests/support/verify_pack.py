"""Checks an audit pack with Python's standard library alone. Written from read-me.txt and FORMAT.md, not from the service's code.

verify_pack.py PACK.zip [--kid THUMBPRINT] [--ca AUTHORITIES.pem]  ends with 0 where the pack holds, with 1 and the reason where it does not
verify_pack.py --vectors FORMAT.md              computes the test vectors of that text
"""
import base64
import datetime
import hashlib
import json
import re
import sys
import zipfile
import zoneinfo

import signatures
import time_stamp


class Fault(Exception):
    pass


def need(holds, why):
    if not holds:
        raise Fault(why)


# --- RFC 8785: canonical JSON


def number(value):
    # As ECMAScript writes a double (7.1.12.1): the shortest digits, an exponent below 1e-6 and from 1e21 on.
    if isinstance(value, int) and abs(value) < 2**53:
        return str(value)
    value = float(value)
    need(value == value and abs(value) != float("inf"), "a number that JSON cannot hold")
    if value == 0:
        return "0"
    mantissa, exponent = re.fullmatch(r"-?([\d.]+)(?:e([+-]\d+))?", repr(value)).groups()
    whole, _, part = mantissa.partition(".")
    digits = (whole + part).lstrip("0")
    point = len(whole) + int(exponent or 0) - (len(whole + part) - len((whole + part).lstrip("0")))
    digits = digits.rstrip("0")
    count = len(digits)
    if count <= point <= 21:
        text = digits + "0" * (point - count)
    elif 0 < point <= 21:
        text = digits[:point] + "." + digits[point:]
    elif -6 < point <= 0:
        text = "0." + "0" * -point + digits
    else:
        text = digits[0] + ("." + digits[1:] if count > 1 else "") + f"e{point - 1:+d}"
    return ("-" if value < 0 else "") + text


def canonical(value):
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, (int, float)):
        return number(value)
    if isinstance(value, list):
        return "[" + ",".join(canonical(one) for one in value) + "]"
    names = sorted(value, key=lambda name: name.encode("utf-16-be"))
    return "{" + ",".join(canonical(name) + ":" + canonical(value[name]) for name in names) + "}"


def once(pairs):
    need(len({name for name, _ in pairs}) == len(pairs), "an object that names a member twice")
    return dict(pairs)


def parse(text, where, members=None):
    try:
        value = json.loads(text, object_pairs_hook=once)
    except ValueError:
        raise Fault(f"{where} is not JSON")
    need(isinstance(value, dict), f"{where} is no object")
    need(members is None or set(value) == members, f"{where} does not have the members that it has to have")
    return value


def sha(data):
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()


def is_count(value, least=0):
    # True and False are numbers to Python.
    return isinstance(value, int) and not isinstance(value, bool) and least <= value < 2**53


def is_hash(value):
    return isinstance(value, str) and re.fullmatch(r"[0-9a-f]{64}", value) is not None


# --- JWS (RFC 7515), ES256 (RFC 7518, 3.4)


def unb64(text):
    try:
        raw = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
    except ValueError:
        raise Fault("base64url that is none")
    # One text for the same bytes: bits that mean nothing are zero.
    need(base64.urlsafe_b64encode(raw).rstrip(b"=").decode() == text, "base64url in another form")
    return raw


def keys_of(text):
    found = {}
    for key in parse(text, "keys.json", {"keys"})["keys"]:
        need(isinstance(key, dict) and set(key) == {"alg", "crv", "kid", "kty", "use", "x", "y"}, "keys.json: the members of a key")
        need((key["alg"], key["crv"], key["kty"], key["use"]) == ("ES256", "P-256", "EC", "sig"), "keys.json: a key for something else")
        point = {name: key[name] for name in ("crv", "kty", "x", "y")}
        print_ = base64.urlsafe_b64encode(hashlib.sha256(canonical(point).encode()).digest()).rstrip(b"=").decode()
        need(print_ == key["kid"] and print_ not in found, "keys.json: a key that is not called by its thumbprint, or twice")
        coordinates = [unb64(key[name]) for name in ("x", "y")]
        x, y = (int.from_bytes(one, "big") for one in coordinates)
        need(all(len(one) == 32 for one in coordinates) and signatures.is_point("P-256", x, y), "keys.json: a key that is no point of the curve")
        found[print_] = (x, y)
    return found


def signed(jws, keys, typ, where):
    parts = jws.split(".")
    need(len(parts) == 3, f"{where}: no JWS")
    header = parse(unb64(parts[0]).decode(), where, {"alg", "kid", "typ"})
    need(header["alg"] == "ES256" and header["typ"] == typ, f"{where}: signed as something else")
    need(header["kid"] in keys, f"{where}: signed by none of its keys")
    raw = unb64(parts[2])
    r, s = int.from_bytes(raw[:32], "big"), int.from_bytes(raw[32:], "big")
    digest = hashlib.sha256(f"{parts[0]}.{parts[1]}".encode()).digest()
    need(len(raw) == 64 and signatures.by_curve("P-256", keys[header["kid"]], digest, r, s), f"{where}: the signature is not by that key")
    return unb64(parts[1]), header["kid"]


# --- RFC 6962, section 2.1


def leaf_hash(data):
    return hashlib.sha256(b"\0" + data).digest()


def node_hash(left, right):
    return hashlib.sha256(b"\1" + left + right).digest()


class Tree:
    def __init__(self):
        self.edge, self.size = [], 0

    def add(self, level, value):
        index, at = self.size >> level, level
        while index % 2:
            value, index, at = node_hash(self.edge.pop(), value), index // 2, at + 1
        self.edge.append(value)
        self.size += 1 << level

    def root(self):
        if not self.edge:
            return hashlib.sha256(b"").digest()
        root = self.edge[-1]
        for left in reversed(self.edge[:-1]):
            root = node_hash(left, root)
        return root


def continues(old_size, old_root, size, root, proof):
    # RFC 9162, 2.1.4.2, which checks the proof of RFC 6962.
    if old_size > size:
        return False
    if old_size == 0:
        return not proof and old_root == hashlib.sha256(b"").digest()
    if old_size == size:
        return not proof and old_root == root
    path = ([old_root] if old_size & (old_size - 1) == 0 else []) + proof
    if not path:
        return False
    at, last = old_size - 1, size - 1
    while at & 1:
        at, last = at >> 1, last >> 1
    old, new = path[0], path[0]
    for step in path[1:]:
        if last == 0:
            return False
        if at & 1 or at == last:
            old, new = node_hash(step, old), node_hash(step, new)
            while at and not at & 1:
                at, last = at >> 1, last >> 1
        else:
            new = node_hash(new, step)
        at, last = at >> 1, last >> 1
    return last == 0 and old == old_root and new == root


# --- the month


UTC = datetime.timezone.utc


def instant(text, where):
    need(isinstance(text, str) and re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", text, re.ASCII), f"{where}: no instant")
    return datetime.datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)


def first_instant(year, month, zone):
    try:
        clock = zoneinfo.ZoneInfo(zone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError):
        raise Fault(f"there is no time zone {zone}")
    return datetime.datetime(year, month, 1, tzinfo=clock).astimezone(UTC)


def spans_of(manifest):
    need(re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", manifest["month"], re.ASCII), "the month is none")
    year, month = map(int, manifest["month"].split("-"))
    after = (year + month // 12, month % 12 + 1)
    spans = manifest["spans"]
    need(spans and spans[0]["depotId"] is None, "the spans do not begin with that of no depot")
    depots = [span["depotId"] for span in spans[1:]]
    need(None not in depots and depots == sorted(set(depots)), "the spans are not in the order of the depots")
    need(manifest["depotId"] is None or depots == [manifest["depotId"]], "the spans are not of the pack's depot")
    zone = spans[1]["timeZone"] if len(depots) == 1 else "UTC"
    need(spans[0]["timeZone"] == zone, "what names no depot is on another calendar")
    found = {}
    for span in spans:
        need(set(span) == {"depotId", "timeZone", "starts", "ends"}, "a span has other members")
        starts, ends = instant(span["starts"], "a span"), instant(span["ends"], "a span")
        need(starts == first_instant(year, month, span["timeZone"]), "a span does not begin with the month")
        need(ends == first_instant(*after, span["timeZone"]), "a span does not end with the month")
        found[span["depotId"]] = (starts, ends)
    return found


# --- records.csv

BLANK = "[\t\n\v\f\r \u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000\ufeff]*"
FORMULA = re.compile(f"\\A(?=[\t\r]|{BLANK}[=+\\-@\uff0b\uff0d\uff1d\uff20])|(?<=[\n\r\v\f\u0085\u2028\u2029;\t|])(?={BLANK}[=+\\-@\uff0b\uff0d\uff1d\uff20])")
CELL = re.compile(r'(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n|\Z)')
COLUMNS = ["recordedAt", "performedAt", "kind", "sentence", "machine", "staffNumber", "name", "depot", "what", "sha256", "id"]
WORDS = {"sentence", "what"}


def rows_of(text):
    need(text.startswith("\ufeff"), "records.csv does not begin with the byte order mark")
    # RFC 4180 to the letter: Python's own reader ends a row at a bare LF or CR too, and takes a quote in the middle of a cell.
    rows, row, at = [], [], 1
    while at < len(text):
        cell = CELL.match(text, at)
        need(cell, "records.csv is not in the form of RFC 4180")
        row.append(cell[2] if cell[1] is None else cell[1].replace('""', '"'))
        at = cell.end()
        if cell[3] != ",":
            rows.append(row)
            row = []
    # The last row may end without a line break.
    return rows + ([[*row, ""]] if row else [])


# --- the pack

ENVELOPE = {"id", "chainId", "position", "kind", "version", "machineId", "depotId", "staffId", "performedAt", "recordedAt", "dataSha256", "previousSha256", "sha256"}
MANIFEST = {"format", "packId", "firmId", "month", "depotId", "spans", "requestedBy", "madeAt", "checkpoint", "records", "chains", "gaps", "neighbours", "files"}
CHECKPOINT = {"number", "treeSize", "rootSha256", "takenAt", "kid", "jws", "chainCount", "chainsSha256", "toLast"}
KNOWN = re.compile(r"(?:(?:records|neighbours|names|tree|chains|checkpoints|time-stamps|schemas)\.ndjson|records\.csv|keys\.json|month\.pdf|read-me\.txt|photos/[0-9a-f]{64}\.(?:jpg|png|webp))")
LINES = ["names", "records", "neighbours", "tree", "chains", "checkpoints"]
MARGIN = datetime.timedelta(hours=1)
SOONER = {"person-added", "person-amended", "person-left", "record-corrected"}
KEPT = datetime.timedelta(days=450)


def lines_of(pack, name):
    text = pack.read(name).decode("utf-8")
    need(text == "" or text.endswith("\n"), f"{name} does not end with its last line")
    return text.split("\n")[:-1]


def envelope_of(entry, where):
    members = {name: value for name, value in entry.items() if name in ENVELOPE and name != "sha256"}
    need(is_count(entry["position"], 1) and is_count(entry["version"]), f"{where}: its position or version")
    need(sha(canonical(members)) == entry["sha256"], f"{where}: its hash is not of who, when and what kind")
    need((entry["position"] == 1) == (entry["previousSha256"] is None), f"{where}: what it follows")
    instant(entry["performedAt"], where)
    return instant(entry["recordedAt"], where)


def time_stamps(pack, held, authorities):
    points, seen = {point["number"]: point for point in held}, 0
    roots = None if authorities is None else time_stamp.certificates_of(authorities)
    lines = lines_of(pack, "time-stamps.ndjson")
    for at, line in enumerate(lines, 1):
        where = f"time-stamps.ndjson:{at}"
        stamp = parse(line, where, {"number", "token"})
        need(canonical(stamp) == line and stamp["number"] in points and stamp["number"] > seen, f"{where}: its form, or of no checkpoint, or again")
        seen, point = stamp["number"], points[stamp["number"]]
        token = base64.b64decode(stamp["token"], validate=True)
        need(base64.b64encode(token).decode() == stamp["token"], f"{where}: base64 in another form")
        fault = time_stamp.fault_of(token, hashlib.sha256(point["jws"].encode()).digest(), instant(point["takenAt"], where), roots)
        need(fault is None, f"{where}: {fault}")
    return len(lines)


def verify(path, only_kid=None, authorities=None):
    pack = zipfile.ZipFile(path)
    names = pack.namelist()
    need(len(set(names)) == len(names), "the ZIP holds a file twice")
    for name in ["keys.json", "manifest.jws", "manifest.json"]:
        need(name in names, f"{name} is missing")

    # 1
    keys = keys_of(pack.read("keys.json").decode())
    payload, kid = signed(pack.read("manifest.jws").decode(), keys, "audit-pack+jws", "manifest.jws")
    need(only_kid in (None, kid), f"signed by key {kid}")
    need(payload == pack.read("manifest.json"), "manifest.json is not what was signed")
    manifest = parse(payload.decode(), "manifest.json", MANIFEST)
    need(manifest["format"] == "ferrule-audit-pack-2", "another format")
    need(canonical(manifest).encode() == payload, "manifest.json is not in canonical form")
    need(all(isinstance(manifest[name], str) for name in ("packId", "firmId", "month", "requestedBy")), "the manifest's words")
    need(all(is_count(manifest[name]) for name in ("checkpoint", "records", "chains", "gaps", "neighbours")), "the manifest's counts")
    instant(manifest["madeAt"], "the manifest")

    # 2
    listed = [file["name"] for file in manifest["files"]]
    need(len(set(listed)) == len(listed), "the manifest names a file twice")
    need(all(KNOWN.fullmatch(name) for name in listed), "a file that such a pack does not have")
    need(set(names) == {*listed, "manifest.json", "manifest.jws"}, "the files are not those of the manifest")
    for name in [*(f"{name}.ndjson" for name in LINES), "records.csv", "read-me.txt", "month.pdf", "keys.json"]:
        need(name in listed, f"{name} is missing")
    for file in manifest["files"]:
        content = pack.read(file["name"])
        need(set(file) == {"name", "bytes", "sha256"} and is_count(file["bytes"]), "the manifest says something else of a file")
        need(len(content) == file["bytes"] and sha(content) == file["sha256"], f"{file['name']} is not what the manifest says")
    spans = spans_of(manifest)
    before = min(starts for starts, _ in spans.values()) - MARGIN
    after = max(ends for _, ends in spans.values()) + MARGIN

    called = {}
    for at, line in enumerate(lines_of(pack, "names.ndjson"), 1):
        where = f"names.ndjson:{at}"
        name = parse(line, where)
        members = {"id", "is", "called"} | ({"number", "forgotten"} if name.get("is") == "person" else set())
        need(set(name) == members and name["is"] in ("depot", "machine", "model", "person"), f"{where}: its members")
        need(canonical(name) == line and name["id"] not in called, f"{where}: its form, or an id again")
        need(isinstance(name.get("forgotten", False), bool) and all(isinstance(name.get(one, ""), str) for one in ("id", "called", "number")), f"{where}: what it says")
        called[name["id"]] = name

    def call(id_, what, where):
        if id_ is None:
            return {"called": "", "number": ""}
        need(called.get(id_, {}).get("is") == what, f"{where}: nothing says what its ids stand for")
        return called[id_]

    # 3
    leaves, shown, photos, rows = [], {}, set(), []
    own, gaps, forgotten, kept_until = {}, 0, 0, []
    for at, line in enumerate(lines_of(pack, "records.ndjson"), 1):
        where = f"record {at}"
        record = parse(line, where, ENVELOPE | {"salt", "data"})
        need(canonical(record) == line, f"{where}: not in canonical form")
        data, salt = record["data"], record["salt"]
        need((data is None) == (salt is None), f"{where}: half forgotten")
        need(data is None or sha(canonical({"data": data, "salt": salt})) == record["dataSha256"], f"{where}: what it says")
        forgotten += data is None
        if data is None and record["kind"] not in SOONER:
            kept_until.append(instant(record["recordedAt"], where) + KEPT)
        arrived = envelope_of(record, where)
        need(record["depotId"] in spans, f"{where}: a depot that the pack is not about")
        starts, ends = spans[record["depotId"]]
        need(starts <= arrived < ends, f"{where}: not of the month")
        chain, position = record["chainId"], record["position"]
        need(position > own.get(chain, 0), f"{where}: a place of its chain that another has")
        gaps += position - own[chain] - 1 if chain in own else 0
        own[chain] = position
        shown.setdefault(chain, []).append((position, arrived, record))
        leaves.append(leaf_hash(bytes.fromhex(record["sha256"])))
        listed_photos = data.get("photos") if data else None
        if isinstance(listed_photos, list):
            photos |= {photo["sha256"] for photo in listed_photos if isinstance(photo, dict) and is_hash(photo.get("sha256"))}
        machine, person, depot = (call(record[f"{name}Id"], what, where) for name, what in (("machine", "machine"), ("staff", "person"), ("depot", "depot")))
        cells = [record["recordedAt"], record["performedAt"], record["kind"], "", machine["called"], person["number"], person["called"], depot["called"], "", record["sha256"], record["id"]]
        rows.append([FORMULA.sub("'", cell) for cell in cells])
    beside = {}
    for at, line in enumerate(lines_of(pack, "neighbours.ndjson"), 1):
        where = f"neighbour {at}"
        entry = parse(line, where, ENVELOPE)
        need(canonical(entry) == line, f"{where}: not in canonical form")
        arrived = envelope_of(entry, where)
        if entry["depotId"] in spans:
            starts, ends = spans[entry["depotId"]]
            need(not starts <= arrived < ends, f"{where}: it belongs to the month")
        else:
            need(arrived < before or arrived >= after, f"{where}: a depot that the pack is not about")
        leaf = leaf_hash(bytes.fromhex(entry["sha256"])).hex()
        need(leaf not in beside, f"{where}: again")
        beside[leaf] = entry
        shown.setdefault(entry["chainId"], []).append((entry["position"], arrived, entry))

    # 4
    tree, taken, found = Tree(), iter(leaves), 0
    places = {leaf: at for at, leaf in enumerate(beside)}
    for at, line in enumerate(lines_of(pack, "tree.ndjson"), 1):
        part = parse(line, f"tree.ndjson:{at}")
        need(set(part) - {"sha256"} == {"level", "index"} and canonical(part) == line, f"tree.ndjson:{at}: its form or members")
        level, index = part["level"], part["index"]
        need(is_count(level) and level < 63 and is_count(index), f"tree.ndjson:{at}: its place")
        need(index << level == tree.size, f"tree.ndjson:{at} does not fit where it stands")
        if "sha256" in part:
            need(is_hash(part["sha256"]), f"tree.ndjson:{at}: its hash")
            if level == 0 and part["sha256"] in beside:
                need(places[part["sha256"]] == found, f"tree.ndjson:{at}: the neighbours are in another order")
                found += 1
            tree.add(level, bytes.fromhex(part["sha256"]))
        else:
            leaf = next(taken, None)
            need(level == 0 and leaf is not None, f"tree.ndjson:{at}: no record stands there")
            tree.add(0, leaf)
    need(next(taken, None) is None, "a record without a leaf")
    need(found == len(beside), "a neighbour without a leaf")

    # 5
    held = []
    for at, line in enumerate(lines_of(pack, "checkpoints.ndjson"), 1):
        where = f"checkpoints.ndjson:{at}"
        point = parse(line, where, CHECKPOINT)
        need(canonical(point) == line and is_count(point["number"], 1) and is_count(point["treeSize"]), f"{where}: its form or numbers")
        need(is_hash(point["rootSha256"]) and all(is_hash(one) for one in point["toLast"]), f"{where}: its hashes")
        stated = (point["chainCount"], point["chainsSha256"])
        need(stated == (None, None) or (is_count(stated[0]) and is_hash(stated[1])), f"{where}: the chains that it states")
        instant(point["takenAt"], where)
        claim, by = signed(point["jws"], keys, "checkpoint+jws", where)
        members = {name: point[name] for name in ("number", "treeSize", "rootSha256", "takenAt")}
        members["firmId"] = manifest["firmId"]
        if point["chainCount"] is not None or point["chainsSha256"] is not None:
            members |= {"chainCount": point["chainCount"], "chainsSha256": point["chainsSha256"]}
        need(claim.decode() == canonical(members) and by == point["kid"], f"{where} does not say what was signed")
        held.append(point)
    need(held, "no checkpoint")
    last = held[-1]
    need(last["number"] == manifest["checkpoint"], "the last checkpoint is not the pack's")
    taken_at = instant(last["takenAt"], "the last checkpoint")
    need(all(until <= taken_at for until in kept_until), "the words of a record are gone before they may be")
    need((last["treeSize"], last["rootSha256"]) == (tree.size, tree.root().hex()), "the records do not give the root that was signed")
    for earlier, later in zip(held, held[1:]):
        need(earlier["number"] < later["number"] and earlier["treeSize"] <= later["treeSize"], "the checkpoints are not in their order")
    for point in held:
        proof = [bytes.fromhex(one) for one in point["toLast"]]
        need(continues(point["treeSize"], bytes.fromhex(point["rootSha256"]), tree.size, tree.root(), proof), f"checkpoint {point['number']} is not continued")

    # 10
    stamps = time_stamps(pack, held, authorities) if "time-stamps.ndjson" in listed else 0

    # 6
    hashes, chains, previous = b"", {}, ""
    for at, line in enumerate(lines_of(pack, "chains.ndjson"), 1):
        where = f"chains.ndjson:{at}"
        chain = parse(line, where)
        need(canonical(chain) == line, f"{where}: not in canonical form")
        if set(chain) == {"lineSha256"}:
            need(is_hash(chain["lineSha256"]), f"{where}: its hash")
            hashes += bytes.fromhex(chain["lineSha256"])
            continue
        need(set(chain) == {"chainId", "length", "sha256"} and chain["chainId"] > previous, f"{where}: its members, or its place")
        need(is_count(chain["length"], 1) and is_hash(chain["sha256"]), f"{where}: its length or hash")
        previous = chain["chainId"]
        chains[previous] = chain
        hashes += hashlib.sha256(line.encode()).digest()
    need((len(hashes) // 32, sha(hashes)) == (last["chainCount"], last["chainsSha256"]), "the chains are not those that were signed")
    together = sum(chain["length"] for chain in chains.values())
    whole = len(chains) == len(hashes) // 32
    need(together == tree.size if whole else together <= tree.size, "the chains do not hold as many records as the tree")
    for id_, entries in shown.items():
        entries.sort(key=lambda one: one[0])
        need(id_ in chains, f"chain {id_} is not opened")
        for (position, _, entry), (next_position, _, follower) in zip(entries, entries[1:]):
            need(position != next_position, f"chain {id_}: a place that two have")
            need(next_position != position + 1 or follower["previousSha256"] == entry["sha256"], f"chain {id_} does not hang together")
        position, _, entry = entries[-1]
        length = chains[id_]["length"]
        need(position <= length and (position != length or entry["sha256"] == chains[id_]["sha256"]), f"chain {id_} does not end as it was signed")

    # 7
    if manifest["depotId"] is None:
        need(whole, "a pack of the whole firm opens every chain")
        for id_, chain in chains.items():
            stood, side = 0, -1
            for position, arrived, _ in shown.get(id_, []):
                next_side = -1 if arrived < before else 1 if arrived >= after else 0
                need(position == stood + 1 or (next_side != 0 and next_side == side), f"chain {id_}: {stood + 1} to {position - 1} are left out")
                stood, side = position, next_side
            need(stood == chain["length"], f"chain {id_}: {stood + 1} to {chain['length']} are left out")

    # 8
    table = rows_of(pack.read("records.csv").decode("utf-8"))
    need(table and table[0] == COLUMNS, "records.csv has another header")
    need(len(table) == len(rows) + 1, "records.csv has another number of rows")
    for at, (row, cells) in enumerate(zip(table[1:], rows), 1):
        need(len(row) == len(COLUMNS), f"records.csv: row {at} has another number of cells")
        need(all(name in WORDS or cell == said for name, cell, said in zip(COLUMNS, row, cells)), f"records.csv: row {at} is not what the record says")

    # 9
    for file in manifest["files"]:
        photo = re.fullmatch(r"photos/([0-9a-f]{64})\.(?:jpg|png|webp)", file["name"])
        need(not photo or (photo[1] == file["sha256"] and photo[1] in photos), f"{file['name']} is no photo that a record names")

    for what, count in (("records", len(leaves)), ("chains", len(own)), ("gaps", gaps), ("neighbours", len(beside))):
        need(manifest[what] == count, f"the manifest counts {manifest[what]} {what}, and there are {count}")
    complete = "all of the month" if manifest["depotId"] is None else "not shown to be all of the month"
    return f"holds: {len(leaves)} records ({forgotten} forgotten; {complete}), checkpoint {last['number']}, root {last['rootSha256']}, {stamps} time-stamps, key {kid}"


def vectors(path):
    with open(path, encoding="utf-8") as file:
        text = re.search(r"```json\n(.*?)\n```", file.read(), re.DOTALL)[1]
    given = json.loads(text)
    for one in given["canonical"]:
        need(canonical(json.loads(one["json"])) == one["canonical"], one["json"])
    for one in given["tree"]:
        tree = Tree()
        for leaf in one["leaves"]:
            tree.add(0, leaf_hash(bytes.fromhex(leaf)))
        need(tree.root().hex() == one["root"], f"a tree of {len(one['leaves'])}")
    for one in given["consistency"]:
        proof = [bytes.fromhex(step) for step in one["proof"]]
        need(continues(one["oldSize"], bytes.fromhex(one["oldRoot"]), one["size"], bytes.fromhex(one["root"]), proof), "consistency")
    record = parse(given["record"], "the record", ENVELOPE | {"salt", "data"})
    need(sha(canonical({"data": record["data"], "salt": record["salt"]})) == record["dataSha256"], "what the record says")
    envelope_of(record, "the record")
    hashes = b"".join(hashlib.sha256(line.encode()).digest() for line in given["chains"]["lines"])
    need(sha(hashes) == given["chains"]["chainsSha256"], "the chains")
    signed(given["checkpoint"]["jws"], keys_of(json.dumps({"keys": given["checkpoint"]["keys"]})), "checkpoint+jws", "the checkpoint")
    for one in given["cells"]:
        need(FORMULA.sub("'", one["text"]) == one["cell"], one["text"])
    return "the vectors are as computed"


if __name__ == "__main__":
    try:
        if sys.argv[1] == "--vectors":
            print(vectors(sys.argv[2]))
        else:
            given = dict(zip(sys.argv[2::2], sys.argv[3::2]))
            print(verify(sys.argv[1], given.get("--kid"), given.get("--ca")))
    except Fault as fault:
        sys.exit(f"does not hold: {fault}")
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, KeyError, TypeError, ValueError, UnicodeDecodeError, OSError, AttributeError) as error:
        sys.exit(f"does not hold: it is not in the form of a pack ({type(error).__name__}: {error})")
