// SPDX-License-Identifier: Apache-2.0
#include "ledger/record.h"

#include <doctest/doctest.h>

#include "ledger/season.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

namespace {

const std::string good_line =
    R"({"v":1,"id":"000000000000aaaa0000000000000001-7","at_ms":1769990400000,"tick":0,)"
    R"("clock_ms":1769990400000,"author":"p1","kind":"tag_count",)"
    R"("body":{"block":"b1","row":3,"tree":14,"spurs":182}})";

std::string with(std::string from, const std::string& what, const std::string& by) {
  const auto at = from.find(what);
  REQUIRE(at != std::string::npos);
  return from.replace(at, what.size(), by);
}

std::string error_of(const std::string& line) {
  const auto record = read_record(line);
  return record ? "" : record.error().text();
}

VarietySettings variety_settings() {
  VarietySettings settings;
  settings.variety.name = "Honeycrisp";
  settings.variety.insurance_factor = 2.1;
  settings.variety.fruits_per_cm2_low = 4.5;
  settings.variety.pruning_time = nthtree::orchard::PruningTime::either;
  settings.variety.source = "own trial, rows 3 to 8";
  return settings;
}

// One value of every kind, away from the defaults.
std::vector<Body> every_kind() {
  FarmSettings farm;
  farm.name = "Two Creeks";
  farm.us_units = true;
  farm.utc_offset_minutes = -480;
  BlockSettings by_yield = block_settings();
  by_yield.block.target.fruits_per_tree.reset();
  by_yield.block.target.yield = nthtree::orchard::YieldGoal{
      1500, nthtree::orchard::YieldUnit::boxes_per_acre, {.count_per_box = 100}};
  by_yield.block.green_tip_date = "2026-03-28";
  BudSample buds;
  buds.block = "b1";
  buds.tree = {1, 2};
  buds.spur_floral = 7;
  TagCount limbs = tag(3, 14, 30);
  limbs.limbs = {10, 20};
  limbs.spurs_after_mend = 25;
  return {farm,
          by_yield,
          PersonSettings{{"p1", "Ana", nthtree::orchard::Role::lead, true}},
          buds,
          BeforeCount{"b1", {1, 1}, 410},
          limbs,
          CheckCount{"b1", {3, 14}, 33, 200},
          Advice{"b1", "p1", Direction::harder, 20, "Hanging wood first."},
          WorkSpell{"b1", 90, 240},
          BlockProgress{"b1", BlockStep::finished},
          GrowthStage{"b1", 53},
          ClusterCount{"b1", {1, 1}, 150, 30},
          HarvestCount{"b1", {1, 1}, 110, 182.5},
          ReturnBloom{"b1", {1, 1}, 120, 300},
          ExerciseCount{"e1", "b1", {1, 1}, 2, 170},
          Withdrawal{"wrong tree"},
          variety_settings(),
          RowDone{"b1", 14, "p2", 3, 40, RowSide::left, "2026-02-03"},
          TreeState{"b1", {3, 9}, TreeKind::replant},
          PartCount{"b1", {3, 14}, {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}},
          PartCheck{"b1", {3, 14}, {{19, 3, 4}, {13, 9, 14, 12, 8}, 80}},
          EyeScore{"b1", {3, 15}, "p1", 240, 4},
          TreeSize{"b1", {3, 14}, SizeClass::strong, 210.0},
          FrostSample{"b1", {2, 7}, 57, 9, 21},
          Temperatures{"Yard", "2026-01-01", {-61, -22, 4}, {12, 50, 117}},
          SeasonClosed{2026},
          PartClusters{"b1", {3, 14}, {{19, 3, 4}, {9, 7, 11, 8, 6}, 85}, 14}};
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("a good record is read, and its bytes are kept as they were") {
    const auto record = read_record(good_line);
    REQUIRE(record.ok());
    CHECK(record->bytes == good_line);
    CHECK(record->id == RecordId{phone_a, 7});
    const auto* count = std::get_if<TagCount>(&record->body);
    REQUIRE(count);
    CHECK(count->spurs == 182);
    CHECK(count->tree == nthtree::orchard::TreeAddress{3, 14});
    const auto kept = read_kept_record(good_line);
    REQUIRE(kept.ok());
    CHECK(kept->bytes.empty());
    CHECK(kept->position() == record->position());
    CHECK(std::get<TagCount>(kept->body).spurs == 182);
  }

  TEST_CASE("every kind survives writing and reading") {
    const auto bodies = every_kind();
    CHECK(bodies.size() + 1 == std::variant_size_v<Body>);
    for (std::size_t i = 0; i < bodies.size(); ++i) {
      const Record record = record_of(phone_a, i + 1, 0, bodies[i]);
      CAPTURE(record.bytes);
      CHECK(record.body.index() == bodies[i].index());
      const auto again = read_record(record.bytes);
      REQUIRE(again.ok());
      Record copy = *again;
      const auto rewritten = write_record(copy);
      REQUIRE(rewritten.ok());
      CHECK(rewritten->bytes == record.bytes);
    }
  }

  TEST_CASE("temperatures with a low above the high, or one list shorter, are refused by field") {
    const std::string good =
        record_of(phone_a, 1, 0, Temperatures{"Yard", "2026-01-01", {-61, -22}, {12, 50}}).bytes;
    const auto where = [&](const char* from, const char* to) {
      const auto record = read_record(with(good, from, to));
      return record.ok() ? std::string("read") : record.error().where;
    };
    CHECK(where("-61", "-61") == "read");
    CHECK(where("-61", "61") == "body.low_tenths_c");
    CHECK(where("[12,50]", "[12]") == "body.high_tenths_c");
    CHECK(where("[-61,-22]", "[]") == "body.low_tenths_c");
    CHECK(where("-61", "-601") == "body.low_tenths_c");
    CHECK(where("2026-01-01", "2026-02-30") == "body.first_day");
  }

  TEST_CASE("a part count without its draw, or of other limbs than it drew, is refused by field") {
    const std::string good = record_of(phone_a, 1, 0, PartCount{"b1", {3, 14},
        {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}}).bytes;
    const auto where = [&](const char* from, const char* to) {
      const auto record = read_record(with(good, from, to));
      return record.ok() ? std::string("read") : record.error().where;
    };
    CHECK(where("\"row\"", "\"row\"") == "read");
    CHECK(where("\"limbs_in_tree\":19", "\"limbs_in_tree\":0") == "body.limbs_in_tree");
    CHECK(where("\"limbs_in_tree\":19", "\"limbs_in_tree\":200") == "body.limbs_in_tree");
    CHECK(where("\"limbs_in_tree\":19,", "") == "body.limbs_in_tree");
    CHECK(where("\"start\":3,", "") == "body.start");
    CHECK(where("\"step\":4,", "") == "body.step");
    CHECK(where("\"start\":3", "\"start\":5") == "body.start");
    CHECK(where("\"step\":4", "\"step\":30") == "body.step");
    // Limb 19 of a tree of 18.
    CHECK(where("\"limbs_in_tree\":19", "\"limbs_in_tree\":18") == "body.limbs");
    CHECK(where("[12,9,14,11,8]", "[12,9,14,11]") == "body.limbs");
  }

  TEST_CASE("a part count is never a whole one: it has no spurs, and its tree's other counts stand") {
    Season season;
    season.apply(record_of(phone_a, 1, 0, tag(3, 14, 180)));
    const Record part = record_of(phone_a, 2, 0, PartCount{"b1", {3, 15},
        {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}});
    season.apply(part);
    CHECK(part.bytes.find("\"spurs\"") == std::string::npos);
    CHECK(season.block("b1")->tag_counts.size() == 1);
    REQUIRE(season.block("b1")->part_counts.size() == 1);
    CHECK(season.block("b1")->part_counts[0].body.counted.on_tree() ==
          doctest::Approx(19 * 54 / 5.0));
    // A replacement of another kind is ignored: a part count cannot turn a whole one into itself.
    Record wrong = record_of(phone_a, 3, 0, PartCount{"b1", {3, 14},
        {{19, 3, 4}, {12, 9, 14, 11, 8}, 92}});
    wrong.replaces = RecordId{phone_a, 1};
    season.apply(*write_record(wrong));
    CHECK(season.block("b1")->tag_counts[0].body.spurs == 180);
    CHECK(season.block("b1")->part_counts.size() == 1);
  }

  TEST_CASE("clusters on some limbs are never a whole tree's, and need not say what has no flowers") {
    const std::string good = record_of(phone_a, 1, 0, PartClusters{"b1", {3, 14},
        {{19, 3, 4}, {9, 7, 11, 8, 6}, 85}, 14}).bytes;
    Season season;
    season.apply(*read_record(good));
    REQUIRE(season.block("b1")->part_clusters.size() == 1);
    CHECK(season.block("b1")->cluster_counts.empty());
    CHECK(good.find("floral_clusters") == std::string::npos);
    const auto bare = read_record(with(good, ",\"vegetative_spurs\":14", ""));
    REQUIRE(bare.ok());
    CHECK(std::get<PartClusters>(bare->body).vegetative_spurs == 0);
    const auto wrong = read_record(with(good, "[9,7,11,8,6]", "[9,7,11,8]"));
    REQUIRE_FALSE(wrong.ok());
    CHECK(wrong.error().where == "body.limbs");
  }

  TEST_CASE("an unknown kind, a later version and an unknown field are kept, not dropped") {
    const std::string kind = with(good_line, "tag_count", "drone_count");
    const auto unknown = read_record(kind);
    REQUIRE(unknown.ok());
    CHECK(std::holds_alternative<Unknown>(unknown->body));
    CHECK(unknown->kind == "drone_count");
    CHECK(unknown->bytes == kind);

    const auto later = read_record(with(good_line, "\"v\":1", "\"v\":2"));
    REQUIRE(later.ok());
    CHECK(std::holds_alternative<Unknown>(later->body));

    const std::string field = with(good_line, "\"spurs\":182", "\"spurs\":182,\"mood\":\"cold\"");
    const auto more = read_record(field);
    REQUIRE(more.ok());
    CHECK(more->bytes == field);
    CHECK(std::holds_alternative<TagCount>(more->body));
  }

  TEST_CASE("bad records are refused in words that name field, value and what is allowed") {
    CHECK(error_of(with(good_line, "182", "1000000000")) ==
          "body.spurs: 1000000000 is out of range: 0 to 5000 is allowed (out_of_range)");
    CHECK(error_of(with(good_line, "182", "-1")).find("body.spurs: -1 is out of range") == 0);
    CHECK(error_of(with(good_line, "\"row\":3", "\"row\":0")).find("body.row: 0 is") == 0);
    CHECK(error_of(with(good_line, "-7\"", "-07\"")).find("id: must be 32") == 0);
    CHECK(error_of(with(good_line, "-7\"", "-0\"")).find("id: must be 32") == 0);
    CHECK(error_of(with(good_line, "aaaa", "AAAA")).find("id: must be 32") == 0);
    CHECK(error_of(with(good_line, "\"at_ms\":1769990400000", "\"at_ms\":-5")).find("at_ms: -5") ==
          0);
    CHECK(error_of(with(good_line, "\"tick\":0", "\"tick\":1.5")).find("tick: is not") == 0);
    CHECK(error_of(with(good_line, "\"v\":1,", "")) == "v: is missing (missing_field)");
    CHECK(error_of("[]").find("a record is a JSON object") == 0);
    CHECK(error_of(with(good_line, ",\"kind\"", ",\n\"kind\"")).find("a record is one line") == 0);
    CHECK(error_of(with(good_line, "182", "182,\"limbs\":[90,90]")) ==
          "body.limbs: the limbs must add up to spurs (wrong_sum)");
  }

  TEST_CASE("a record at the size limit is read, one byte more is refused") {
    const std::size_t room = record_bytes_max - good_line.size() - std::string(",\"x\":\"\"").size();
    const auto padded = [&](std::size_t n) {
      return with(good_line, "182", "182,\"x\":\"" + std::string(n, 'x') + "\"");
    };
    CHECK(error_of(padded(room)) == "");
    CHECK(error_of(padded(room + 1)).find("4097 bytes, of which 4096 are allowed") == 0);
  }

  TEST_CASE("writing refuses a value that reading would refuse") {
    Record record;
    record.id = {phone_a, 1};
    record.body = tag(1, 1, 5001);
    const auto written = write_record(record);
    REQUIRE_FALSE(written.ok());
    CHECK(written.error().where == "spurs");
  }

  TEST_CASE("records of the first wire version are read by this one") {
    const std::string file = file_text("tests/data/wire_v1/every_kind.jsonl");
    REQUIRE_FALSE(file.empty());
    std::size_t kinds = 0;
    std::istringstream lines(file);
    for (std::string line; std::getline(lines, line);) {
      const auto record = read_record(line);
      REQUIRE_MESSAGE(record.ok(), line);
      CHECK_FALSE(std::holds_alternative<Unknown>(record->body));
      ++kinds;
    }
    CHECK(kinds + 1 == std::variant_size_v<Body>);
  }

  TEST_CASE("the worked example in FORMAT.md is a good record") {
    const std::string text = file_text("src/ledger/FORMAT.md");
    const auto start = text.find("\n{\"v\":1");
    REQUIRE(start != std::string::npos);
    const std::string line = text.substr(start + 1, text.find('\n', start + 1) - start - 1);
    CHECK(error_of(line) == "");
  }
}
