// SPDX-License-Identifier: Apache-2.0
#include "hub/backups.h"

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "running_hub.h"

namespace nthtree::hub {
namespace {

namespace fs = std::filesystem;
using test::ask;
using test::post;
using test::push_of;
using test::RunningHub;
using test::status_of;

TEST_SUITE("hub") {

TEST_CASE("backups make themselves when they are due, and the oldest go") {
  RunningHub hub;
  REQUIRE(status_of(post(hub.port(), "/v1/push", hub.join(), push_of(1, 5))) == 200);
  const std::string folder = hub.folder / "copies";
  const BackupPlan plan{hub.folder / "hub.sqlite", folder, 24, 2};
  constexpr std::int64_t day_ms = 86400000;
  CHECK(newest_backup_ms(folder) == 0);
  for (int day = 0; day < 4; ++day) {
    const auto made = back_up_if_due(plan, test::monday_ms + day * day_ms);
    REQUIRE_MESSAGE(made.ok(), (made.ok() ? "" : made.error().text()));
    CHECK(*made);
  }
  CHECK(newest_backup_ms(folder) == test::monday_ms + 3 * day_ms);
  CHECK_FALSE(*back_up_if_due(plan, test::monday_ms + 4 * day_ms - 1000));
  // What is not a copy of ours is left alone.
  std::ofstream(folder + "/mine.sqlite") << "something else";
  CHECK(*back_up_if_due(plan, test::monday_ms + 4 * day_ms));
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder)) names.push_back(entry.path().filename());
  CHECK(names.size() == 3);
  CHECK(std::count(names.begin(), names.end(), "mine.sqlite") == 1);
  // The copies are whole, and phones are told that their records are in one.
  CHECK(restore(folder + "/hub-20260206T000000Z.sqlite", hub.folder / "again.sqlite").ok());
  auto store = open_sqlite_store(hub.folder / "again.sqlite");
  REQUIRE(store.ok());
  CHECK((*store)->backed_up(RunningHub::device) == 5);
}

TEST_CASE("a backup that cannot be made says why, and takes no old one away") {
  test::TemporaryFolder folder;
  std::ofstream(folder / "hub-20260101T000000Z.sqlite") << "of January";
  const auto made = back_up_if_due({folder / "none.sqlite", folder.path(), 1, 1}, test::monday_ms);
  REQUIRE_FALSE(made.ok());
  CHECK(made.error().where.find("none.sqlite") != std::string::npos);
  CHECK(fs::exists(folder / "hub-20260101T000000Z.sqlite"));
}

TEST_CASE("health says what was tried, and not what is hoped") {
  RunningHub hub;
  const std::string well = ask(hub.port(), "GET", "/v1/health");
  CHECK(status_of(well) == 200);
  CHECK(well.find("\"written\":true") != std::string::npos);
}

TEST_CASE("a hub whose disk is full said that it was healthy") {
  RunningHub hub({}, 40);
  const std::string key = hub.join();
  int status = 200;
  for (std::uint64_t n = 0; n < 200 && status == 200; ++n) {
    status = status_of(post(hub.port(), "/v1/push", key, push_of(200 * n + 1, 200 * n + 200)));
  }
  REQUIRE(status == 507);
  // A row that fits may still be written; what fills the last page may not.
  const std::string told = ask(hub.port(), "GET", "/v1/health");
  const bool is_written = told.find("\"written\":true") != std::string::npos;
  CHECK((status_of(told) == 200) == is_written);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
