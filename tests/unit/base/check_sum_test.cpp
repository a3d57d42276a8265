// SPDX-License-Identifier: Apache-2.0
#include "base/check_sum.h"

#include <doctest/doctest.h>

#include <string>

using nthtree::base::crc32;

TEST_SUITE_BEGIN("base");

// Greg Cook, Catalogue of parametrised CRC algorithms: CRC-32/ISO-HDLC, check value.
TEST_CASE("the check value of CRC-32 is the published one") {
  CHECK(crc32("123456789") == 0xcbf43926u);
  CHECK(crc32_text("123456789") == "cbf43926");
  CHECK(crc32_text("") == "00000000");
}

// PNG specification (ISO/IEC 15948), 11.2.5 and annex D: the IEND chunk of every file.
TEST_CASE("the chunk that ends every PNG file has this sum") { CHECK(crc32("IEND") == 0xae426082u); }

TEST_CASE("a text in parts has the sum of the whole, wherever it is cut") {
  std::string text;
  for (int i = 0; i < 40; ++i) text += static_cast<char>(37 * i);
  for (std::size_t cut = 0; cut <= text.size(); ++cut) {
    CAPTURE(cut);
    const std::string_view all = text;
    CHECK(crc32(all.substr(cut), crc32(all.substr(0, cut))) == crc32(all));
  }
  CHECK(crc32("") == 0);
}

TEST_SUITE_END();
