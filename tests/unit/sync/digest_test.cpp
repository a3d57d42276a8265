// SPDX-License-Identifier: Apache-2.0
#include "sync/digest.h"

#include <doctest/doctest.h>

namespace nthtree::sync {
namespace {

TEST_SUITE("sync") {

// NIST, "Examples with Intermediate Values", SHA-256 (csrc.nist.gov, cryptographic standards and
// guidelines), and the million letters of FIPS 180-2, B.3.
TEST_CASE("SHA-256 gives the digests its standard prints") {
  CHECK(hexadecimal(sha256("abc")) ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(hexadecimal(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")) ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(hexadecimal(sha256(std::string(1000000, 'a'))) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  CHECK(hexadecimal(sha256("")) ==
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST_CASE("lengths around a block's edge give digests that differ") {
  std::string text, last;
  for (int length = 0; length < 200; ++length) {
    const std::string digest = hexadecimal(sha256(text));
    CHECK(digest.size() == 64);
    CHECK(digest != last);
    last = digest;
    text += 'x';
  }
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
