// SPDX-License-Identifier: Apache-2.0
//
// The one thread that writes into the store. Requests that wait while a commit is on its way to the
// disk are committed together, so that one fsync serves many phones.
//
// Invariants: an answer is given only after the commit it depends on; where a commit fails, no
// answer of its group says otherwise, and reading goes on. What failed for a reason that passes is
// tried again: sync requests whatever is known of the failed try, because taking one twice is the
// same as once; tasks only where nothing of them was taken.
// What only reads and may take long has a thread of its own (reader.h), one for the pages of pulls
// and one for the office's pages and files: neither keeps a push waiting.
// Not here: HTTP, keys (the callbacks do those).
//
//   Writer writer(std::move(store), now);
//   writer.submit({std::move(request), sender, [](sync::HubReply reply) { … }});
#pragma once

#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "hub/reader.h"
#include "hub/store.h"
#include "sync/hub_side.h"

namespace nthtree::hub {

class Writer {
 public:
  struct Job {
    sync::HubRequest request;
    sync::Sender sender;
    std::function<void(sync::HubReply)> done;  // called on the writer's or a reader's thread
  };
  // Anything else that needs the store, in a transaction of its own. May be called again after a
  // try of which nothing was taken.
  using Task = std::function<void(Store&, sync::HubSide&)>;

  Writer(std::unique_ptr<Store> store, std::function<std::int64_t()> wall_ms);
  ~Writer() { stop(); }

  // Opens the store's records and starts the threads.
  base::Status start();
  // Finishes what waits, then ends the thread.
  void stop();

  // False where too much is waiting already; then nothing is called.
  bool submit(Job job);
  // The task, then `done` with how its commit went.
  void run(Task task, std::function<void(base::Status)> done);
  // A task that changes nothing, beside the writer. False where too much is waiting already.
  bool read(Reader::Task task, Reader::Done done);
  // Called within a second on the writer's thread when another process may have changed the keys.
  // Set it before start or from a task.
  void on_change(std::function<void(Store&)> changed) { changed_ = std::move(changed); }

  bool is_shared() const { return is_shared_; }  // with other hubs
  std::uint64_t commits() const { return commits_; }
  std::uint64_t records() const { return records_; }  // after the last commit
  std::size_t waiting();  // of all that was asked

 private:
  struct Waiting {
    std::optional<Job> job;
    Task task;
    std::function<void(base::Status)> task_done;
  };
  void loop();
  void take_group(std::deque<Waiting> group);
  // Tries until it works, or fails for a reason that `may_again` does not take for a passing one.
  base::Status try_and_again(const std::function<void()>& work,
                             const std::function<bool(const base::Error&)>& may_again);
  base::Status try_once(const std::function<void()>& work);  // in a transaction
  base::Status start_readers();
  bool pull(Job job);
  base::Status read_if_needed();  // what side_ holds, after a try that failed
  void answer_after_failure(std::deque<Waiting>& group, const base::Error& error);
  void run_task(Waiting& waiting);
  void watch();

  std::unique_ptr<Store> store_;
  const bool is_shared_;
  std::function<std::int64_t()> wall_ms_;
  sync::HubSide side_;
  bool is_read_ = false;  // side_ holds what the store holds
  std::function<void(Store&)> changed_;
  std::int64_t change_ = 0;

  std::mutex mutex_;
  std::condition_variable wake_;
  std::deque<Waiting> waiting_;
  bool stopping_ = false;
  std::thread thread_;
  std::unique_ptr<Reader> pulls_, pages_;
  std::atomic<std::uint64_t> commits_ = 0, records_ = 0;
};

}  // namespace nthtree::hub
