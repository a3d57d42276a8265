// SPDX-License-Identifier: Apache-2.0
//
// late HUB [records] [--plain | --beside]
//
// What a phone that joins late waits for: a hub with a season that forty phones brought batch by
// batch, and one phone, with the app's own client and season and a disk that takes no time, which
// fetches all of it on loopback, gzipped as to a browser. Prints seconds, bytes and requests.
// --plain: as phones asked before pages were packed, 200 records at a time.
// --beside: how long the crew's own pushes take meanwhile: alone, beside phones that join late one
// after another, and beside an office that asks for the day and for all records again and again.
#include <sys/resource.h>
#include <sys/wait.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <functional>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

#include "base/arguments.h"
#include "base/random.h"
#include "base/text.h"
#include "hub/gzip.h"
#include "hub/secret.h"
#include "hub/store_sqlite.h"
#include "ledger/season.h"
#include "load/hub_process.h"
#include "sync/client.h"
#include "unit/hub/raw_http.h"
#include "unit/hub/temporary_folder.h"

namespace {

using namespace nthtree;
using Clock = std::chrono::steady_clock;

constexpr std::size_t crew = 40;
constexpr std::size_t batch = 50;
constexpr std::int64_t morning_ms = 1769990400000;
constexpr std::size_t answer_bytes_max = 4 << 20;

std::string posted(const std::string& path, const std::string& key, const std::string& body) {
  return "POST " + path + " HTTP/1.1\r\nHost: localhost\r\nAccept-Encoding: gzip\r\n" +
         test::json_type + "Authorization: Bearer " + key +
         "\r\nContent-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body;
}

struct Phone {
  explicit Phone(std::size_t n) : number(n) {}

  std::size_t number;
  std::string key = hub::random_text();
  std::string proof = hub::random_text();
  ledger::DeviceKey device = sync::device_of_proof(proof);
  std::uint64_t next = 1;
  std::unique_ptr<test::RawHttp> http;

  bool ask(const std::string& path, const std::string& body) {
    http->say(posted(path, key, body));
    return test::status_of(http->hear(20000)) == 200;
  }
};

// A count as one pruner makes them: a tree every few minutes, twenty seconds to two minutes each.
ledger::Record count_of(Phone& phone, base::Random& random) {
  const auto below = [&](std::uint64_t n) { return static_cast<int>(random.below(n)); };
  ledger::Record record;
  record.id = {phone.device, phone.next++};
  record.stamp.at_ms = morning_ms + static_cast<std::int64_t>(record.id.sequence) * 150000 +
                       static_cast<std::int64_t>(random.below(60000));
  record.clock_ms = record.stamp.at_ms;
  record.author = "p" + std::to_string(phone.number);
  const std::string block = "b" + std::to_string(1 + record.id.sequence / 500 % 10);
  record.body = ledger::TagCount{block, {1 + below(60), 1 + below(120)}, 60 + below(120), {}, {},
                                 20 + below(100)};
  return *ledger::write_record(std::move(record));
}

bool push_batch(Phone& phone, std::size_t records, base::Random& random) {
  std::vector<ledger::Record> made;
  for (std::size_t i = 0; i < records; ++i) made.push_back(count_of(phone, random));
  sync::PushRequest push{phone.device, {}, {}, {}};
  for (const ledger::Record& record : made) {
    push.ids.push_back(record.id);
    push.lines.push_back(record.bytes);
  }
  return phone.ask("/v1/push", write(push));
}

bool fill(std::vector<Phone>& phones, std::size_t records, unsigned short port) {
  base::Random random(20260202);
  for (Phone& phone : phones) {
    phone.http = std::make_unique<test::RawHttp>(port);
    const sync::HelloRequest hello{phone.device, {}, {}, 1, {phone.proof}};
    if (!phone.ask("/v1/hello", write(hello))) return false;
  }
  for (std::size_t sent = 0, turn = 0; sent < records; sent += batch, ++turn) {
    if (!push_batch(phones[turn % crew], std::min(batch, records - sent), random)) return false;
  }
  return true;
}

// The late phone: what the client wants is done at once.
class Late {
 public:
  Late(unsigned short port, std::string key, bool plain)
      : http_(port), key_(std::move(key)), plain_(plain) {
    client_.load_state(base::print("{\"v\":1,\"device\":\"%s\",\"bearer\":\"%s\"}",
                                   ledger::DeviceKey{1, 2}.text().c_str(), key_.c_str()));
    client_.start({1, 2}, moment());
  }

  bool fetch_all(std::size_t records, double seconds_max) {
    while (season_.records() < records || !client_.status().fetched_all) {
      if (seconds() > seconds_max) return false;
      auto actions = client_.take_actions();
      for (sync::Action& action : actions) carry_out(action);
      if (actions.empty()) {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
        client_.tick(moment());
      }
    }
    return true;
  }
  double seconds() const {
    return std::chrono::duration<double>(Clock::now() - started_).count();
  }

  std::size_t bytes = 0, requests = 0;
  std::size_t counted() const { return season_.records(); }

 private:
  sync::Moment moment() const {
    const auto ms = static_cast<std::int64_t>(1000 * seconds());
    return {morning_ms + ms, ms, static_cast<std::uint64_t>(ms)};
  }
  void carry_out(sync::Action& action) {
    if (auto* send = std::get_if<sync::Send>(&action)) return carry_out(*send);
    if (auto* store = std::get_if<sync::StoreChange>(&action)) {
      return client_.store_done(store->store, true, moment());
    }
    if (auto* apply = std::get_if<sync::Apply>(&action)) season_.apply_all(apply->records);
  }
  void carry_out(const sync::Send& send) {
    std::string body = send.body;
    if (plain_ && send.path == sync::path_pull) {
      sync::PullRequest asked = *sync::read_pull_request(*sync::read_envelope(body));
      body = write(sync::PullRequest{asked.cursor});
    }
    http_.say(posted(send.path, key_, body));
    const std::string answer = http_.hear(20000);
    ++requests;
    bytes += answer.size();
    std::string text = test::body_of(answer);
    if (answer.find("Content-Encoding: gzip") < answer.find("\r\n\r\n")) {
      text = hub::gunzip(text, answer_bytes_max).value_or("");
    }
    client_.response(send.request, test::status_of(answer), text, moment());
  }

  test::RawHttp http_;
  const std::string key_;
  const bool plain_;
  const Clock::time_point started_ = Clock::now();
  sync::Client client_;
  ledger::Season season_;
};

// The crew at a steady pace, while something else is done again and again.
class Crew {
 public:
  explicit Crew(std::vector<Phone>& phones) : phones_(phones) {}

  void tell(const char* beside, const std::function<void()>& again_and_again) {
    const auto end = Clock::now() + std::chrono::seconds(6);
    std::vector<std::thread> threads;
    for (Phone& phone : phones_) threads.emplace_back([&] { push_until(phone, end); });
    std::size_t times = 0;
    for (; Clock::now() < end; ++times) again_and_again();
    for (std::thread& thread : threads) thread.join();
    std::sort(ms_.begin(), ms_.end());
    std::printf("pushes %s (%zu times): p50 %.1f ms, p99 %.1f ms, longest %.1f ms, %d refused\n",
                beside, times, ms_[ms_.size() / 2], ms_[ms_.size() * 99 / 100], ms_.back(),
                refused_.exchange(0));
    ms_.clear();
  }

 private:
  void push_until(Phone& phone, Clock::time_point end) {
    constexpr std::chrono::milliseconds pause(200);
    base::Random random(phone.number);
    auto due = Clock::now() + pause * phone.number / crew;
    for (; due < end; due += pause) {
      std::this_thread::sleep_until(due);
      refused_ += push_batch(phone, 10, random) ? 0 : 1;
      const std::chrono::duration<double, std::milli> took = Clock::now() - due;
      const std::lock_guard lock(mutex_);
      ms_.push_back(took.count());
    }
  }

  std::vector<Phone>& phones_;
  std::mutex mutex_;
  std::vector<double> ms_;
  std::atomic<int> refused_ = 0;
};

std::string got(unsigned short port, const std::string& key, const std::string& path) {
  test::RawHttp http(port);
  http.say("GET " + path + " HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer " + key +
           "\r\n\r\n");
  return http.hear(20000);
}

void tell_beside(std::vector<Phone>& phones, unsigned short port,
                 const std::vector<std::string>& late_keys, std::size_t records) {
  Crew crew_at_work(phones);
  setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), 10);  // who asks is another machine
  crew_at_work.tell("alone", [] { std::this_thread::sleep_for(std::chrono::seconds(7)); });
  std::size_t joined = 0;
  crew_at_work.tell("beside late joiners", [&] {
    Late(port, late_keys[joined++ % late_keys.size()], false).fetch_all(records, 20);
  });
  crew_at_work.tell("beside the day's page", [&] { got(port, late_keys[0], "/v1/day"); });
  crew_at_work.tell("beside the export of all records",
                    [&] { got(port, late_keys[1], "/v1/records.jsonl"); });
}

bool let_in(const std::string& file, const std::vector<std::string>& keys) {
  auto store = hub::open_sqlite_store(file);
  if (!store) return false;
  (*store)->begin();
  for (const std::string& key : keys) {
    (*store)->add_key(sync::sha256(key), "late", {orchard::Role::manager, "", ""}, 1);
  }
  return (*store)->commit().ok();
}

enum class How { packed, plain, beside };

bool tell_late(unsigned short port, const std::string& key, std::size_t records, bool plain) {
  Late late(port, key, plain);
  const bool all = late.fetch_all(records, 90);
  const std::size_t got = late.counted();
  const auto bytes = static_cast<double>(late.bytes);
  std::printf("%s: %zu of %zu records in %.1f s, %.2f MB (%.1f bytes a record), %zu requests\n",
              plain ? "200 plain records a page" : "packed pages", got, records, late.seconds(),
              bytes / 1e6, bytes / static_cast<double>(std::max<std::size_t>(1, got)),
              late.requests);
  return all && got == records;
}

int measure(const char* program, std::size_t records, How how) {
  const test::TemporaryFolder folder;
  std::vector<Phone> phones;
  for (std::size_t i = 0; i < crew; ++i) phones.emplace_back(i + 1);
  std::vector<std::string> late_keys(12), keys;
  for (std::string& key : late_keys) keys.push_back(key = hub::random_text());
  for (const Phone& phone : phones) keys.push_back(phone.key);
  unsigned short port = 0;
  if (!let_in(folder / "hub.sqlite", keys)) return 1;
  const pid_t hub = test::start_hub(program, "--data", folder.path(), port);
  bool all = port != 0 && fill(phones, records, port);
  if (!all) std::fprintf(stderr, "the season could not be sent\n");
  if (all && how == How::beside) tell_beside(phones, port, late_keys, records);
  if (all && how != How::beside) all = tell_late(port, late_keys[0], records, how == How::plain);
  kill(hub, SIGTERM);
  waitpid(hub, nullptr, 0);
  return all ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  const auto arguments = base::read_arguments(
      {argv + 1, argv + argc}, {{"--plain", false}, {"--beside", false}}, 1, 2);
  if (!arguments) return std::fprintf(stderr, "late HUB [records] [--plain | --beside]\n"), 2;
  const std::size_t records =
      arguments->rest.size() > 1 ? std::stoul(arguments->rest[1]) : std::size_t{200000};
  return measure(arguments->rest[0].c_str(), records,
                 arguments->has("--beside")  ? How::beside
                 : arguments->has("--plain") ? How::plain
                                             : How::packed);
}
