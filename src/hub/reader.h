// SPDX-License-Identifier: Apache-2.0
//
// A thread that only reads, with a store of its own, for what would keep the writer from the
// phones' records: pages of a pull, the day as a page, exports.
//
// Invariants: a task sees one moment, of what is committed; nothing it does changes the store. What
// failed for a reason that passes is tried again.
//
//   Reader reader(std::move(*store.open_again()));
//   reader.start();
//   reader.run([&](Store& store) { … }, [](base::Status status) { … });
#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <thread>

#include "hub/store.h"

namespace nthtree::hub {

class Reader {
 public:
  using Task = std::function<void(Store&)>;  // may be called again after a try that failed
  using Done = std::function<void(base::Status)>;

  explicit Reader(std::unique_ptr<Store> store) : store_(std::move(store)) {}
  ~Reader() { stop(); }

  void start();
  // Finishes what waits, then ends the thread.
  void stop();
  // The task, then `done`, both on the reader's thread. False where too much is waiting already;
  // then nothing is called.
  bool run(Task task, Done done);
  std::size_t waiting();

 private:
  struct Waiting {
    Task task;
    Done done;
  };
  void loop();
  base::Status read(const Task& task);

  std::unique_ptr<Store> store_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::deque<Waiting> waiting_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace nthtree::hub
