"""A time-stamp (RFC 3161) held against what FORMAT.md asks of one: the CMS around it (RFC 5652), its certificate (RFC 5280), its words."""
import base64
import datetime
import hashlib
import re

import signatures

UTC = datetime.timezone.utc
HASHES = {"2.16.840.1.101.3.4.2.1": "sha256", "2.16.840.1.101.3.4.2.2": "sha384", "2.16.840.1.101.3.4.2.3": "sha512"}
BY_CURVE = {"1.2.840.10045.4.3.2": "sha256", "1.2.840.10045.4.3.3": "sha384", "1.2.840.10045.4.3.4": "sha512"}
BY_RSA = {"1.2.840.113549.1.1.11": "sha256", "1.2.840.113549.1.1.12": "sha384", "1.2.840.113549.1.1.13": "sha512"}
CURVES = {"1.2.840.10045.3.1.7": "P-256", "1.3.132.0.34": "P-384"}
SIGNED_DATA, TST_INFO = "1.2.840.113549.1.7.2", "1.2.840.113549.1.9.16.1.4"
CONTENT_TYPE, MESSAGE_DIGEST = "1.2.840.113549.1.9.3", "1.2.840.113549.1.9.4"
SIGNING_CERTIFICATE, SIGNING_CERTIFICATE_V2 = "1.2.840.113549.1.9.16.2.12", "1.2.840.113549.1.9.16.2.47"
KEY_ID, KEY_USE, CONSTRAINTS, TIME_STAMPING = "2.5.29.14", "2.5.29.37", "2.5.29.19", "1.3.6.1.5.5.7.3.8"
EARLIEST = datetime.timedelta(minutes=5)


class Fault(Exception):
    pass


def need(holds, why):
    if not holds:
        raise Fault(why)


class Der:
    def __init__(self, data, start=0):
        need(start + 2 <= len(data), "no DER")
        self.tag, length, at = data[start], data[start + 1], start + 2
        if length & 128:
            count = length & 127
            need(0 < count < 5 and at + count <= len(data), "no DER")
            length, at = int.from_bytes(data[at : at + count], "big"), at + count
        self.end = at + length
        need(self.end <= len(data), "no DER")
        self.raw, self.body = data[start : self.end], data[at : self.end]

    @property
    def parts(self):
        found, at = [], 0
        while at < len(self.body):
            found.append(Der(self.body, at))
            at = found[-1].end
        return found

    @property
    def number(self):
        return int.from_bytes(self.body, "big")

    @property
    def oid(self):
        need(self.tag == 6 and self.body and not self.body[-1] & 128, "no object identifier")
        arcs, value = [], 0
        for byte in self.body:
            value = value << 7 | byte & 127
            if not byte & 128:
                arcs.append(value)
                value = 0
        first = min(arcs[0] // 40, 2)
        return ".".join(map(str, [first, arcs[0] - 40 * first, *arcs[1:]]))

    @property
    def moment(self):
        text = self.body.decode("ascii")
        if self.tag == 0x17:
            text = ("19" if int(text[:2]) >= 50 else "20") + text
        whole = re.fullmatch(r"(\d{14})(?:\.(\d+))?Z", text)
        need(whole, "no time")
        part = datetime.timedelta(seconds=float(f"0.{whole[2] or 0}"))
        return datetime.datetime.strptime(whole[1], "%Y%m%d%H%M%S").replace(tzinfo=UTC) + part


class Certificate:
    def __init__(self, der):
        self.raw = der.raw
        told, self.algorithm, self.signature = der.parts
        self.told = told.raw
        parts = told.parts[1:] if told.parts[0].tag == 0xA0 else told.parts
        self.serial, self.issuer, self.subject, self.key = parts[0].body, parts[2].raw, parts[4].raw, parts[5]
        self.begins, self.ends = (one.moment for one in parts[3].parts)
        self.extensions = {}
        for part in parts[6:]:
            for extension in part.parts[0].parts if part.tag == 0xA3 else []:
                members = extension.parts
                self.extensions[members[0].oid] = (len(members) == 3 and members[1].body == b"\xff", members[-1].body)

    @property
    def is_authority(self):
        _, body = self.extensions.get(CONSTRAINTS, (False, b"\x30\0"))
        return any(part.tag == 1 and part.body == b"\xff" for part in Der(body).parts)


def certificates_of(path):
    with open(path, encoding="ascii") as file:
        found = re.findall(r"-----BEGIN CERTIFICATE-----(.*?)-----END CERTIFICATE-----", file.read(), re.DOTALL)
    return [Certificate(Der(base64.b64decode(one))) for one in found]


def signs(key, algorithm, signature, data, digest=None):
    name, (kind, point) = algorithm.parts[0].oid, key.parts
    if kind.parts[0].oid == "1.2.840.10045.2.1":
        need(name in BY_CURVE and kind.parts[1].oid in CURVES, "a signature of another kind")
        half = len(point.body) // 2
        coordinates = (int.from_bytes(point.body[2 : 2 + half - 1], "big"), int.from_bytes(point.body[1 + half :], "big"))
        r, s = (one.number for one in Der(signature).parts)
        return signatures.by_curve(CURVES[kind.parts[1].oid], coordinates, hashlib.new(BY_CURVE[name], data).digest(), r, s)
    # A CMS may name the bare RSA here; the hash is then the one that it names beside.
    hash_name = digest if name == "1.2.840.113549.1.1.1" else BY_RSA.get(name)
    need(kind.parts[0].oid == "1.2.840.113549.1.1.1" and hash_name, "a signature of another kind")
    modulus, exponent = (one.number for one in Der(point.body[1:]).parts)
    return signatures.by_rsa(modulus, exponent, hash_name, data, signature)


def names_certificate(attributes, certificate):
    """Each signing-certificate attribute that is there, and one at least, names this one first."""
    found = 0
    for name in (SIGNING_CERTIFICATE, SIGNING_CERTIFICATE_V2):
        if name not in attributes:
            continue
        first = attributes[name][0].parts[0].parts[0].parts
        hash_name = "sha1" if name == SIGNING_CERTIFICATE else "sha256"
        if first[0].tag == 0x30:
            hash_name, first = HASHES.get(first[0].parts[0].oid), first[1:]
        need(hash_name and first[0].body == hashlib.new(hash_name, certificate.raw).digest(), "what was signed names another certificate")
        found += 1
    return found > 0


def leads_to(certificate, between, roots, at, steps=8):
    if steps == 0 or not certificate.begins <= at <= certificate.ends:
        return False
    if any(root.raw == certificate.raw for root in roots):
        return True
    return any(
        above.subject == certificate.issuer
        and above.is_authority
        and signs(above.key, certificate.algorithm, certificate.signature.body[1:], certificate.told)
        and leads_to(above, between, roots, at, steps - 1)
        for above in [*roots, *between]
    )


def check(token, imprint, taken_at, roots):
    outer = Der(token)
    need(outer.end == len(token), "something stands behind it")
    kind, content = outer.parts
    need(kind.oid == SIGNED_DATA, "no signed data")
    data = content.parts[0].parts
    need(data[2].parts[0].oid == TST_INFO, "no time-stamp")
    said = data[2].parts[1].parts[0].body
    certificates = [Certificate(one) for part in data[3:] if part.tag == 0xA0 for one in part.parts if one.tag == 0x30]
    need(len(data[-1].parts) == 1, "not one signature")
    signer = data[-1].parts[0].parts
    digest = HASHES.get(signer[2].parts[0].oid)
    need(digest and signer[3].tag == 0xA0, "a digest of another kind, or no signed attributes")
    attributes = {}
    for attribute in signer[3].parts:
        name, values = attribute.parts
        need(name.oid not in attributes, "an attribute twice")
        attributes[name.oid] = values.parts
    need([one.oid for one in attributes.get(CONTENT_TYPE, [])] == [TST_INFO], "its content type")
    need([one.body for one in attributes.get(MESSAGE_DIGEST, [])] == [hashlib.new(digest, said).digest()], "its digest")
    if signer[1].tag == 0x30:
        issuer, serial = signer[1].parts
        fitting = [one for one in certificates if (one.issuer, one.serial) == (issuer.raw, serial.body)]
    else:
        fitting = [one for one in certificates if KEY_ID in one.extensions and Der(one.extensions[KEY_ID][1]).body == signer[1].body]
    need(fitting, "its certificate is not in it")
    certificate = fitting[0]
    critical, uses = certificate.extensions.get(KEY_USE, (False, b"\x30\0"))
    need(critical and [one.oid for one in Der(uses).parts] == [TIME_STAMPING], "its certificate is not for time-stamps alone")
    need(names_certificate(attributes, certificate), "what was signed names no certificate")
    # RFC 5652, 5.4: signed as a SET, which is how it is tagged nowhere in it.
    need(signs(certificate.key, signer[4], signer[5].body, b"\x31" + signer[3].raw[1:], digest), "its signature")

    words = Der(said).parts
    algorithm, hashed = words[2].parts
    need(HASHES.get(algorithm.parts[0].oid) == "sha256" and hashed.body == imprint, "of something else than its checkpoint")
    at, accuracy = words[4].moment, datetime.timedelta()
    for part in words[5].parts if len(words) > 5 and words[5].tag == 0x30 else []:
        accuracy += datetime.timedelta(microseconds=part.number * {2: 10**6, 0x80: 1000, 0x81: 1}[part.tag])
    need(at >= taken_at - EARLIEST - accuracy, "from before its checkpoint")
    need(roots is None or leads_to(certificate, certificates, roots, at), "by none of the authorities that were named")


def fault_of(token, imprint, taken_at, roots):
    """What does not hold of a token; None where all does. `roots` None: nobody named authorities."""
    try:
        check(token, imprint, taken_at, roots)
    except Fault as fault:
        return str(fault)
    except (IndexError, KeyError, ValueError, OverflowError) as error:
        return f"no time-stamp ({type(error).__name__}: {error})"
    return None
