"""ECDSA on two curves of FIPS 186 and RSA of RFC 8017, 8.2.2: just the verifying, with Python's standard library alone."""
import hashlib

# p, b, the order, and the base point; a is -3 in both.
CURVES = {
    "P-256": (
        2**256 - 2**224 + 2**192 + 2**96 - 1,
        0x5AC635D8AA3A93E7B3EBBD55769886BC651D06B0CC53B0F63BCE3C3E27D2604B,
        0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551,
        (0x6B17D1F2E12C4247F8BCE6E563A440F277037D812DEB33A0F4A13945D898C296, 0x4FE342E2FE1A7F9B8EE7EB4A7C0F9E162BCE33576B315ECECBB6406837BF51F5),
    ),
    "P-384": (
        2**384 - 2**128 - 2**96 + 2**32 - 1,
        0xB3312FA7E23EE7E4988E056BE3F82D19181D9C6EFE8141120314088F5013875AC656398D8A2ED19D2A85C8EDD3EC2AEF,
        0xFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFC7634D81F4372DDF581A0DB248B0A77AECEC196ACCC52973,
        (
            0xAA87CA22BE8B05378EB1C71EF320AD746E1D3B628BA79B9859F741E082542A385502F25DBF55296C3A545E3872760AB7,
            0x3617DE4A96262C6F5D9E98BF9292DC29F8F41DBD289A147CE9DA3113B5F0B8C00A60B1CE1D7E819D7A431D7C90EA0E5F,
        ),
    ),
}


def is_point(curve, x, y):
    p, b, _, _ = CURVES[curve]
    return 0 <= x < p and 0 <= y < p and (y * y - x**3 + 3 * x - b) % p == 0


def add(p, one, other):
    if one is None or other is None:
        return one or other
    (x1, y1), (x2, y2) = one, other
    if x1 == x2:
        if (y1 + y2) % p == 0:
            return None
        slope = (3 * x1 * x1 - 3) * pow(2 * y1, -1, p)
    else:
        slope = (y2 - y1) * pow(x2 - x1, -1, p)
    x = (slope * slope - x1 - x2) % p
    return x, (slope * (x1 - x) - y1) % p


def times(p, factor, point):
    result = None
    while factor:
        if factor & 1:
            result = add(p, result, point)
        point = add(p, point, point)
        factor >>= 1
    return result


def by_curve(curve, point, digest, r, s):
    p, _, order, base = CURVES[curve]
    if not (is_point(curve, *point) and 0 < r < order and 0 < s < order):
        return False
    number = int.from_bytes(digest, "big") >> max(0, 8 * len(digest) - order.bit_length())
    inverse = pow(s, -1, order)
    found = add(p, times(p, number * inverse % order, base), times(p, r * inverse % order, point))
    return found is not None and found[0] % order == r


# DigestInfo as RFC 8017, 9.2 spells it out for each hash.
DIGEST_INFO = {
    "sha256": "3031300d060960864801650304020105000420",
    "sha384": "3041300d060960864801650304020205000430",
    "sha512": "3051300d060960864801650304020305000440",
}


def by_rsa(modulus, exponent, name, data, signature):
    length = (modulus.bit_length() + 7) // 8
    said = bytes.fromhex(DIGEST_INFO[name]) + hashlib.new(name, data).digest()
    wanted = b"\0\1" + b"\xff" * (length - 3 - len(said)) + b"\0" + said
    return len(signature) == length and pow(int.from_bytes(signature, "big"), exponent, modulus) == int.from_bytes(wanted, "big")
