// SPDX-License-Identifier: Apache-2.0
//
// Backups that make themselves: a checked copy when the last one is old enough, the oldest ones
// beyond the wanted number removed, and an alarm in the log when there has been none for twice the
// time.
//
//   Backups backups({store, "/mnt/stick", 24, 14}, wall_ms);
//   backups.start();
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <mutex>
#include <string>
#include <thread>

#include "base/result.h"

namespace nthtree::hub {

struct BackupPlan {
  std::string store, folder;
  std::int64_t hours = 24, keep = 14;
};

// When the newest copy in the folder was made, by its name; 0: there is none.
std::int64_t newest_backup_ms(const std::string& folder);
// Makes one if it is due, and removes those too many; true: made.
base::Result<bool> back_up_if_due(const BackupPlan& plan, std::int64_t now_ms);

class Backups {
 public:
  Backups(BackupPlan plan, std::function<std::int64_t()> wall_ms)
      : plan_(std::move(plan)), wall_ms_(std::move(wall_ms)) {}
  ~Backups() { stop(); }
  void start();
  void stop();

 private:
  void loop();
  void look();

  const BackupPlan plan_;
  std::function<std::int64_t()> wall_ms_;
  std::int64_t next_try_ms_ = 0, told_old_ms_ = 0, started_ms_ = 0;
  std::mutex mutex_;
  std::condition_variable wake_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace nthtree::hub
