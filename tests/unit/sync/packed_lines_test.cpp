// SPDX-License-Identifier: Apache-2.0
#include "sync/packed_lines.h"

#include "base/random.h"
#include "support/records.h"

namespace nthtree::sync {
namespace {

constexpr std::size_t bytes_max = 1 << 20;

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + '\n';
  return text;
}

std::string packed(const std::vector<std::string>& lines) {
  return pack_lines({lines.begin(), lines.end()});
}

void check_comes_back(const std::vector<std::string>& lines) {
  const auto text = unpack_lines(packed(lines), lines.size(), bytes_max);
  REQUIRE(text.has_value());
  CHECK(*text == joined(lines));
}

TEST_SUITE("sync") {

TEST_CASE("packed records come back byte for byte") {
  std::vector<std::string> lines;
  for (std::uint64_t s = 1; s <= 300; ++s) {
    const ledger::DeviceKey device{7, s % 3};
    lines.push_back(test::record_of(device, s, static_cast<std::int64_t>(s * 40),
                                    test::tag(1, static_cast<int>(s), 100)).bytes);
  }
  check_comes_back(lines);
  CHECK(packed(lines).size() < joined(lines).size() / 4);
}

TEST_CASE("whatever a line says, packing changes nothing") {
  check_comes_back({});
  check_comes_back({"{}", "", "1", "-1", ":1", ":0,", ":00,", ":-0}", ":01}", "[1,2,3]", "[1.5]"});
  check_comes_back({":999999999999999999,", ":0,", ":1000000000000000000,", ":123456789012345678}"});
  check_comes_back({"\x01:5,\x02", "\x02\x01", ":5,\x01:6,", "\"caf\xc3\xa9 7\"", "\"x-12\",\"0a\""});
}

TEST_CASE("any bytes come back, and any change of what is packed is refused or another text") {
  base::Random random(7);
  const std::string letters = "0123456789:,[]{}-\"ab.e\x01\x02";
  for (int round = 0; round < 2000; ++round) {
    std::vector<std::string> lines(random.below(6));
    for (std::string& line : lines) {
      for (auto length = random.below(30); length > 0; --length) {
        line += letters[random.below(letters.size())];
      }
    }
    check_comes_back(lines);
    std::string changed = packed(lines);
    changed[random.below(changed.size())] = letters[random.below(letters.size())];
    if (const auto text = unpack_lines(changed, lines.size(), 500)) CHECK(text->size() <= 500);
  }
}

TEST_CASE("packed records that were cut short or are too many do not pass for whole ones") {
  const std::vector<std::string> lines = {":1,:2,", ":3,:4,", "other:7}"};
  const std::string whole = packed(lines);
  for (std::size_t length = 0; length < whole.size(); ++length) {
    CHECK_FALSE(unpack_lines(whole.substr(0, length), 3, bytes_max).has_value());
  }
  CHECK_FALSE(unpack_lines(whole, 2, bytes_max).has_value());
  CHECK_FALSE(unpack_lines(whole, 4, bytes_max).has_value());
  CHECK_FALSE(unpack_lines(whole + "\n", 3, bytes_max).has_value());
  const std::size_t bytes = joined(lines).size();
  CHECK(unpack_lines(whole, 3, bytes).has_value());
  CHECK_FALSE(unpack_lines(whole, 3, bytes - 1).has_value());
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
