// SPDX-License-Identifier: Apache-2.0
#include "hub/backups.h"

#include <algorithm>
#include <ctime>
#include <filesystem>
#include <vector>

#include "hub/log.h"
#include "hub/store_sqlite.h"

namespace nthtree::hub {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t hour_ms = 3600000;
constexpr std::int64_t look_every_s = 60;
constexpr std::int64_t try_again_ms = 10 * 60000;
constexpr const char* name_format = "hub-%Y%m%dT%H%M%SZ.sqlite";

std::string name_at(std::int64_t ms) {
  const std::time_t seconds = ms / 1000;
  std::tm utc{};
  gmtime_r(&seconds, &utc);
  char name[64];
  std::strftime(name, sizeof name, name_format, &utc);
  return name;
}

std::int64_t time_of(const std::string& name) {
  std::tm utc{};
  const char* end = strptime(name.c_str(), name_format, &utc);
  return end && *end == 0 ? static_cast<std::int64_t>(timegm(&utc)) * 1000 : 0;
}

// Of ours alone, oldest first: nobody else's file is touched.
std::vector<std::string> copies_in(const std::string& folder) {
  std::vector<std::string> names;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    std::string name = entry.path().filename().string();
    if (time_of(name) > 0) names.push_back(std::move(name));
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

std::int64_t newest_backup_ms(const std::string& folder) {
  const auto names = copies_in(folder);
  return names.empty() ? 0 : time_of(names.back());
}

base::Result<bool> back_up_if_due(const BackupPlan& plan, std::int64_t now_ms) {
  if (now_ms - newest_backup_ms(plan.folder) < plan.hours * hour_ms) return false;
  std::error_code error;
  fs::create_directories(plan.folder, error);
  if (error) return base::Error{"no_folder", error.message(), plan.folder};
  const auto made = back_up(plan.store, (fs::path(plan.folder) / name_at(now_ms)).string());
  if (!made) return made.error();
  auto names = copies_in(plan.folder);
  while (static_cast<std::int64_t>(names.size()) > plan.keep) {
    fs::remove(fs::path(plan.folder) / names.front(), error);
    names.erase(names.begin());
  }
  return true;
}

void Backups::start() {
  started_ms_ = wall_ms_();
  thread_ = std::thread([this] { loop(); });
}

void Backups::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
}

void Backups::loop() {
  for (std::unique_lock lock(mutex_); !stopping_;) {
    lock.unlock();
    look();
    lock.lock();
    wake_.wait_for(lock, std::chrono::seconds(look_every_s), [this] { return stopping_; });
  }
}

void Backups::look() {
  const std::int64_t now_ms = wall_ms_();
  if (now_ms >= next_try_ms_) {
    const auto made = back_up_if_due(plan_, now_ms);
    if (!made) {
      log(Level::error, "backup_failed", {{"why", made.error().text()}});
      next_try_ms_ = now_ms + try_again_ms;
    } else if (*made) {
      log(Level::info, "backup_made", {{"file", name_at(now_ms)}, {"folder", plan_.folder}});
    }
  }
  const std::int64_t last_ms = std::max(newest_backup_ms(plan_.folder), started_ms_);
  const bool is_old = now_ms - last_ms > 2 * plan_.hours * hour_ms;
  if (!is_old || now_ms - told_old_ms_ < hour_ms) return;
  told_old_ms_ = now_ms;
  log(Level::error, "backup_old",
      {{"hours", std::to_string((now_ms - last_ms) / hour_ms)}, {"folder", plan_.folder}});
}

}  // namespace nthtree::hub
