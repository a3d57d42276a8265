// SPDX-License-Identifier: Apache-2.0
#include "hub/reader.h"

#include <sys/resource.h>
#include <unistd.h>

#include <chrono>

#include "hub/limits.h"
#include "hub/log.h"

namespace nthtree::hub {
namespace {

// A database that was away is connected to again by the second try.
constexpr std::chrono::milliseconds reconnect_pauses[] = {std::chrono::milliseconds(20),
                                                          std::chrono::milliseconds(500)};

// Where processors are short the writer's thread comes first.
constexpr int niceness = 5;

}  // namespace

void Reader::start() {
  thread_ = std::thread([this] { loop(); });
}

void Reader::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
}

bool Reader::run(Task task, Done done) {
  {
    const std::lock_guard lock(mutex_);
    if (stopping_ || waiting_.size() >= queue_requests_max) return false;
    waiting_.push_back({std::move(task), std::move(done)});
  }
  wake_.notify_one();
  return true;
}

std::size_t Reader::waiting() {
  const std::lock_guard lock(mutex_);
  return waiting_.size();
}

void Reader::loop() {
  setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), niceness);  // of this thread alone
  for (;;) {
    Waiting next;
    {
      std::unique_lock lock(mutex_);
      wake_.wait(lock, [this] { return stopping_ || !waiting_.empty(); });
      if (waiting_.empty()) return;
      next = std::move(waiting_.front());
      waiting_.pop_front();
    }
    auto status = read(next.task);
    for (const std::chrono::milliseconds pause : reconnect_pauses) {
      if (status || !is_passing(status.error())) break;
      std::this_thread::sleep_for(pause);
      status = read(next.task);
    }
    if (!status) log(Level::error, "read_failed", {{"why", status.error().text()}});
    next.done(std::move(status));
  }
}

base::Status Reader::read(const Task& task) {
  store_->begin_to_read();
  task(*store_);
  return store_->commit();
}

}  // namespace nthtree::hub
