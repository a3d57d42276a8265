// SPDX-License-Identifier: Apache-2.0
#include "sync/packed_records.h"

#include "base/random.h"
#include "support/records.h"

namespace nthtree::sync {
namespace {

bool same(const base::Result<ledger::Record>& one, const base::Result<ledger::Record>& other) {
  if (one.ok() != other.ok()) return false;
  if (!one) return one.error() == other.error();
  if (one->position() != other->position() || one->clock_ms != other->clock_ms) return false;
  if (one->author != other->author || one->kind != other->kind) return false;
  if (one->replaces != other->replaces || one->body.index() != other->body.index()) return false;
  return one->body.index() == 0 ||
         ledger::write_record(*one)->bytes == ledger::write_record(*other)->bytes;
}

void check_read_alike(const std::vector<std::string>& lines) {
  const std::string packed = pack_lines({lines.begin(), lines.end()});
  const auto parted = PartedLines::read(packed, lines.size(), 1 << 22);
  REQUIRE(parted);
  PackedRecords records(*parted);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    CAPTURE(lines[i]);
    CHECK(parted->text(i) == lines[i]);
    auto& record = records.read(i);
    REQUIRE(same(record, ledger::read_kept_record(lines[i])));
    if (record) record->stamp = {1, 2};  // as somebody may, until the next
  }
}

TEST_SUITE("sync") {

TEST_CASE("packed records are read as their lines one by one") {
  base::Random random(5);
  std::vector<std::string> lines;
  for (std::uint64_t s = 1; s <= 900; ++s) {
    const int row = 1 + static_cast<int>(random.below(60)), tree = 1 + static_cast<int>(s);
    ledger::TagCount tag = test::tag(row, tree, static_cast<int>(random.below(400)));
    tag.block = random.chance(0.5) ? "b1" : "b2";
    tag.seconds = random.chance(0.5) ? 90 : 0;
    if (random.chance(0.2)) tag.spurs_after_mend = tag.spurs / 2;
    if (random.chance(0.1)) tag.limbs = {tag.spurs, 0};
    ledger::Body body = tag;
    if (random.chance(0.2)) body = ledger::CheckCount{"b1", {row, tree}, 120, 0};
    lines.push_back(test::record_of(test::phone_a, s, static_cast<std::int64_t>(40 * s), body,
                                    random.chance(0.5) ? "p1" : "p2").bytes);
  }
  check_read_alike(lines);
}

TEST_CASE("a packed record that nobody can read is told as by its line") {
  std::vector<std::string> lines;
  for (std::uint64_t s = 1; s <= 60; ++s) {
    std::string line = test::record_of(test::phone_a, s, static_cast<std::int64_t>(40 * s),
                                       test::tag(1, 5, 200)).bytes;
    const auto put = [&](const std::string& what, const std::string& by) {
      line.replace(line.find(what), what.size(), by);
    };
    if (s % 7 == 0) put("\"spurs\":200", "\"spurs\":99999999");
    if (s % 11 == 0) put("\"v\":1", "\"v\":2");
    if (s % 13 == 0) put("\"row\":1", "\"row\":0");
    lines.push_back(line);
  }
  check_read_alike(lines);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
