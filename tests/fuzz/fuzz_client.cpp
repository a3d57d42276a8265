// SPDX-License-Identifier: Apache-2.0
//
// A phone that is told anything: its stored state, imported files, and answers of any status. It
// must not break, must not lose what it holds, and must always know when to try again.
//
// The input is pieces: a letter, then text up to a byte 0. s: state, i: import, a…: an answer to
// the oldest request (status by the second letter), w: a count, t: time passes.
#include <cstdint>
#include <deque>

#include "sync/client.h"

using namespace nthtree;
using namespace nthtree::sync;

namespace {

class Driver {
 public:
  void piece(char what, std::string_view text) {
    now_.elapsed_ms += 10;
    now_.wall_ms += 10;
    now_.chance = now_.chance * 6364136223846793005u + 1;
    if (what == 's' && !started_) client_.load_state(text);
    if (what == 's' || started_ == false) start();
    if (what == 'i') client_.import(std::string(text), now_);
    if (what == 'a') answer(text);
    if (what == 'w') count(text.size());
    if (what == 't') wait();
    carry_out();
    NTHTREE_ASSERT(client_.store().size() >= counts_);
    // Whoever has joined always has a next moment, unless an answer or the disk is awaited.
    const Status status = client_.status();
    NTHTREE_ASSERT(!status.joined || status.unsent == 0 || client_.next_wake_ms() >= 0);
  }

 private:
  void start() {
    if (started_) return;
    started_ = true;
    client_.start({5, 5}, now_);
    client_.join("c", "n", now_);
  }
  void answer(std::string_view text) {
    if (waiting_.empty()) return;
    const Send send = std::move(waiting_.front());
    waiting_.pop_front();
    const char kind = text.empty() ? '0' : text.front();
    const int status = kind == '4' ? 401 : kind == '5' ? 507 : kind == 'b' ? 400
                     : kind == 'n' ? 0 : 200;
    if (!text.empty()) text.remove_prefix(1);
    std::string body(text);
    if (send.path == path_join && kind == 'j') body = write(JoinReply{"key"});
    client_.response(send.request, status, body, now_);
  }
  void count(std::size_t spurs) {
    const auto record = client_.write(ledger::BeforeCount{"b", {1, 1}, int(spurs % 99)}, "p",
                                      std::nullopt, now_.wall_ms);
    NTHTREE_ASSERT(record.ok());
    client_.local_stored(record->id, now_);
    ++counts_;
  }
  void wait() {
    now_.elapsed_ms += 30000;
    now_.wall_ms += 30000;
    client_.tick(now_);
  }
  void carry_out() {
    for (int rounds = 0; rounds < 500; ++rounds) {
      auto actions = client_.take_actions();
      if (actions.empty()) return;
      for (Action& action : actions) {
        if (auto* send = std::get_if<Send>(&action)) {
          waiting_.push_back(std::move(*send));
        } else if (auto* store = std::get_if<StoreChange>(&action)) {
          client_.store_done(store->store, true, now_);
        } else if (std::get_if<WantDeviceKey>(&action)) {
          client_.use_device_key({++keys_, 1}, now_);
        }
      }
    }
    NTHTREE_ASSERT(false);  // it never comes to rest
  }

  Client client_;
  Moment now_{1769990400000, 0, 1};
  std::deque<Send> waiting_;
  bool started_ = false;
  std::size_t counts_ = 0;
  std::uint64_t keys_ = 100;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string_view text(reinterpret_cast<const char*>(data), size);
  Driver driver;
  for (int pieces = 0; pieces < 60 && !text.empty(); ++pieces) {
    const std::string_view piece = text.substr(0, text.find('\0'));
    text.remove_prefix(std::min(text.size(), piece.size() + 1));
    if (!piece.empty()) driver.piece(piece.front(), piece.substr(1));
  }
  return 0;
}
