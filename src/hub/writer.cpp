// SPDX-License-Identifier: Apache-2.0
#include "hub/writer.h"

#include <chrono>

#include "hub/limits.h"
#include "hub/log.h"

namespace nthtree::hub {
namespace {

// Two seconds in all: a phone waits longer for its answer, and a restart of a database is over.
constexpr std::chrono::milliseconds retry_pauses[] = {
    std::chrono::milliseconds(20), std::chrono::milliseconds(80), std::chrono::milliseconds(400),
    std::chrono::milliseconds(1500)};

void tell(const base::Error& error) { log(Level::error, "store_failed", {{"why", error.text()}}); }

}  // namespace

Writer::Writer(std::unique_ptr<Store> store, std::function<std::int64_t()> wall_ms)
    : store_(std::move(store)),
      is_shared_(store_->is_shared()),
      wall_ms_(std::move(wall_ms)),
      side_(*store_) {}

base::Status Writer::start() {
  if (const auto opened = read_if_needed(); !opened) return opened;
  records_ = side_.records();
  store_->begin();
  store_->note_opening();
  // A full disk is no reason not to start: what is here can still be read.
  if (const auto noted = store_->commit(); !noted && noted.error().id != "disk_full") return noted;
  change_ = store_->office_version();
  if (const auto started = start_readers(); !started) return started;
  thread_ = std::thread([this] { loop(); });
  return base::Ok{};
}

base::Status Writer::start_readers() {
  for (std::unique_ptr<Reader>* reader : {&pulls_, &pages_}) {
    auto store = store_->open_again();
    if (!store) return store.error();
    *reader = std::make_unique<Reader>(std::move(*store));
    (*reader)->start();
  }
  return base::Ok{};
}

void Writer::stop() {
  for (const auto& reader : {&pulls_, &pages_}) {
    if (*reader) (*reader)->stop();
  }
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
}

bool Writer::pull(Job job) {
  const auto shared = std::make_shared<Job>(std::move(job));
  const auto reply = std::make_shared<sync::HubReply>();
  return pulls_->run(
      [=](Store& store) {
        const auto& asked = std::get<sync::PullRequest>(shared->request.message);
        *reply = sync::answer_pull(store, asked);
      },
      [=](const base::Status& status) {
        shared->done(status ? std::move(*reply)
                            : sync::HubReply{503, sync::write_error(status.error())});
      });
}

bool Writer::read(Reader::Task task, Reader::Done done) {
  return pages_->run(std::move(task), std::move(done));
}

bool Writer::submit(Job job) {
  if (std::holds_alternative<sync::PullRequest>(job.request.message)) return pull(std::move(job));
  {
    const std::lock_guard lock(mutex_);
    if (stopping_ || waiting_.size() >= queue_requests_max) return false;
    waiting_.push_back({std::move(job), nullptr, nullptr});
  }
  wake_.notify_one();
  return true;
}

void Writer::run(Task task, std::function<void(base::Status)> done) {
  {
    const std::lock_guard lock(mutex_);
    waiting_.push_back({std::nullopt, std::move(task), std::move(done)});
  }
  wake_.notify_one();
}

std::size_t Writer::waiting() {
  const std::size_t reads = pulls_->waiting() + pages_->waiting();
  const std::lock_guard lock(mutex_);
  return waiting_.size() + reads;
}

void Writer::loop() {
  auto watched = std::chrono::steady_clock::now();
  for (;;) {
    std::deque<Waiting> group;
    {
      std::unique_lock lock(mutex_);
      wake_.wait_for(lock, std::chrono::seconds(1),
                     [this] { return stopping_ || !waiting_.empty(); });
      if (stopping_ && waiting_.empty()) return;
      while (!waiting_.empty() && group.size() < group_requests_max) {
        // A task has a transaction of its own: it ends a group, or is one.
        if (!waiting_.front().job && !group.empty()) break;
        const bool is_task = !waiting_.front().job;
        group.push_back(std::move(waiting_.front()));
        waiting_.pop_front();
        if (is_task) break;
      }
    }
    if (!group.empty()) {
      group.front().job ? take_group(std::move(group)) : run_task(group.front());
    }
    const auto now = std::chrono::steady_clock::now();
    if (now - watched > std::chrono::seconds(1)) {
      watched = now;
      watch();
    }
  }
}

void Writer::watch() {
  const std::int64_t change = store_->office_version();
  if (store_->failure()) return store_->rollback();  // the next look may work
  if (change == change_ || !changed_) return;
  change_ = change;
  changed_(*store_);
}

base::Status Writer::try_and_again(const std::function<void()>& work,
                                   const std::function<bool(const base::Error&)>& may_again) {
  for (const std::chrono::milliseconds pause : retry_pauses) {
    base::Status done = try_once(work);
    if (done || !may_again(done.error())) return done;
    tell(done.error());
    std::this_thread::sleep_for(pause);
  }
  return try_once(work);
}

base::Status Writer::try_once(const std::function<void()>& work) {
  if (const auto read = read_if_needed(); !read) return read;
  store_->begin();
  if (side_.catch_up()) work();  // a failure is the store's: the commit tells it, and rolls back
  base::Status committed = store_->commit();
  is_read_ = committed.ok();
  return committed;
}

base::Status Writer::read_if_needed() {
  if (is_read_) return base::Ok{};
  base::Status opened = side_.open();
  is_read_ = opened.ok();
  if (!opened) store_->rollback();
  return opened;
}

void Writer::take_group(std::deque<Waiting> group) {
  std::vector<sync::HubReply> replies;
  const auto take_all = [&] {
    replies.clear();
    for (const Waiting& waiting : group) {
      replies.push_back(side_.take(waiting.job->request, waiting.job->sender, wall_ms_()));
      if (store_->failure()) return;
    }
  };
  const auto committed = try_and_again(
      take_all, [](const base::Error& e) { return is_passing(e) || is_unsure(e); });
  if (!committed) {
    answer_after_failure(group, committed.error());
    return;
  }
  ++commits_;
  records_ = side_.records();
  for (std::size_t i = 0; i < group.size(); ++i) group[i].job->done(std::move(replies[i]));
}

// Whoever wanted to write is told no; whoever only asks gets an answer, because a full disk is no
// reason to keep the crew from seeing the day.
void Writer::answer_after_failure(std::deque<Waiting>& group, const base::Error& error) {
  tell(error);
  const bool can_read = read_if_needed().ok();
  for (Waiting& waiting : group) {
    Job& job = *waiting.job;
    if (!can_read || std::holds_alternative<sync::PushRequest>(job.request.message)) {
      job.done({error.id == "disk_full" ? 507 : 503, sync::write_error(error)});
      continue;
    }
    sync::HubReply reply = side_.take(job.request, job.sender, wall_ms_());
    is_read_ = is_read_ && !store_->failure();
    store_->rollback();
    job.done(std::move(reply));
  }
}

void Writer::run_task(Waiting& waiting) {
  auto done = try_and_again([&] { waiting.task(*store_, side_); }, is_passing);
  if (!done) tell(done.error());
  waiting.task_done(std::move(done));
}

}  // namespace nthtree::hub
