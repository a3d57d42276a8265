// SPDX-License-Identifier: Apache-2.0
#include "ledger/plain_record.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "base/random.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

namespace {

// True where the quick reader takes the bytes; then the other must read the very same from them.
bool taken_alike(const std::string& bytes) {
  Record quick;
  if (!read_plain_record(bytes, quick)) return false;
  CAPTURE(bytes);
  const auto judged = read_any_record(bytes);
  REQUIRE(judged);
  CHECK(quick.position() == judged->position());
  CHECK(quick.clock_ms == judged->clock_ms);
  CHECK(quick.author == judged->author);
  CHECK(quick.kind == judged->kind);
  CHECK(quick.replaces == judged->replaces);
  CHECK(quick.body.index() == judged->body.index());
  CHECK(quick.bytes.empty());
  CHECK(judged->bytes.empty());
  if (quick.body.index() != 0) {
    const auto one = write_record(quick), other = write_record(*judged);
    CHECK(one.ok() == other.ok());
    if (one && other) CHECK(one->bytes == other->bytes);
  }
  return true;
}

std::vector<std::string> lines_of_every_kind() {
  std::vector<std::string> lines;
  std::string text = file_text("tests/data/wire_v1/every_kind.jsonl");
  for (std::size_t end; (end = text.find('\n')) != std::string::npos; text.erase(0, end + 1)) {
    if (end > 0) lines.push_back(text.substr(0, end));
  }
  return lines;
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("records of every kind are read the quick way, to the same values") {
    const auto lines = lines_of_every_kind();
    REQUIRE(lines.size() > 15);
    const auto taken = std::count_if(lines.begin(), lines.end(), taken_alike);
    CHECK(taken * 5 > static_cast<std::ptrdiff_t>(lines.size()) * 3);  // texts may hold an accent
  }

  TEST_CASE("a byte changed anywhere is never taken where the judging reader refuses") {
    nthtree::base::Random random(6);
    const std::string bytes_tried = "\"\\{}[],:0123456789.-+eE \t\n\x7f\xc3\xb1nullteabc";
    int taken = 0;
    for (const std::string& line : lines_of_every_kind()) {
      for (int i = 0; i < 400; ++i) {
        std::string changed = line;
        const std::size_t at = random.next() % changed.size();
        const char by = bytes_tried[random.next() % bytes_tried.size()];
        switch (random.next() % 3) {
          case 0: changed[at] = by; break;
          case 1: changed.insert(at, 1, by); break;
          default: changed.erase(at, 1 + random.next() % 3); break;
        }
        taken += taken_alike(changed);
      }
    }
    CHECK(taken > 100);  // a digit for another, mostly
  }

  TEST_CASE("a field out of its range or of another kind is left to the reader that says so") {
    const std::string start =
        R"({"v":1,"id":"000000000000aaaa0000000000000001-7","at_ms":1769990400000,"tick":0,)"
        R"("clock_ms":1769990400000,"author":"p1","kind":)";
    CHECK(taken_alike(start + R"("growth_stage","body":{"block":"b1","bbch":53}})"));
    CHECK(taken_alike(start + R"("of_tomorrow","body":{"any":[1,{"x":"y"}]},"more":true})"));
    for (const char* rest :
         {R"("tag_count","body":{"block":"b1","row":3,"tree":14}})",
          R"("tag_count","body":{"block":"b1","row":3,"tree":14,"spurs":-1}})",
          R"("tag_count","body":{"block":"","row":3,"tree":14,"spurs":182}})",
          R"("tag_count","body":{"block":"b1","row":3,"tree":14,"spurs":"182"}})",
          R"("tag_count","body":{"block":"b1","row":3,"tree":14,"spurs":5,"limbs":[2,2]}})",
          R"("tag_count","body":[]})", R"("tag_count"})", R"("","body":{}})",
          R"("growth_stage","body":{"block":"b1","bbch":null}})",
          R"("advice","body":{"block":"b1","person":"p1","direction":"sideways"}})",
          R"("withdrawal","replaces":"nobody-1","body":{}})"}) {
      CAPTURE(rest);
      Record record;
      CHECK_FALSE(read_plain_record(start + rest, record));
    }
  }
}
