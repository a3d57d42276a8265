// SPDX-License-Identifier: Apache-2.0
#include "shell/quick_memory.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>
#include <string>

using namespace nthtree::shell;

namespace {

std::string letters(std::size_t bytes) {
  std::string text(bytes, '\0');
  std::iota(text.begin(), text.end(), static_cast<char>(-100));
  return text;
}

int sign(int number) { return (number > 0) - (number < 0); }

}  // namespace

TEST_SUITE("shell") {
  TEST_CASE("bytes are copied whatever their number and place, also onto themselves") {
    for (std::size_t bytes = 0; bytes < 40; ++bytes) {
      for (std::size_t from = 0; from < 20; ++from) {
        for (std::size_t to = 0; to < 20; ++to) {
          const std::string before = letters(64);
          std::string after = before, wanted = before;
          wanted.replace(to, bytes, before.substr(from, bytes));
          (to <= from ? copy_up : copy_down)(after.data() + to, after.data() + from, bytes);
          REQUIRE(after == wanted);
        }
      }
    }
  }

  TEST_CASE("as many bytes are filled as were asked for, from anywhere on") {
    for (std::size_t bytes = 0; bytes < 40; ++bytes) {
      for (std::size_t at = 0; at < 10; ++at) {
        for (const char byte : {'\0', 'x', '\xff'}) {
          std::string after = letters(64), wanted = after;
          wanted.replace(at, bytes, std::string(bytes, byte));
          fill(after.data() + at, byte, bytes);
          REQUIRE(after == wanted);
        }
      }
    }
  }

  TEST_CASE("bytes are compared as unsigned ones, by the first that differs") {
    const std::string one = letters(50);
    for (std::size_t bytes = 0; bytes < 40; ++bytes) {
      CHECK(compare(one.data() + 3, one.data() + 3, bytes) == 0);
      for (std::size_t at = 0; at < 40; ++at) {
        for (const int by : {1, 100, -1, -100, 127}) {
          std::string other = one;
          other[at] = static_cast<char>(other[at] + by);
          other[at + 5] = '!';
          const int wanted = one.substr(0, bytes).compare(other.substr(0, bytes));
          REQUIRE(sign(compare(one.data(), other.data(), bytes)) == sign(wanted));
        }
      }
    }
  }
}
