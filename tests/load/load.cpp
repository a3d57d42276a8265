// SPDX-License-Identifier: Apache-2.0
//
// load HUB [phones] [records a second] [records a batch] [seconds] [hostile phones]
//
// Starts the hub's own program on a fresh folder and has phones send batches at a steady pace, each
// on a connection of its own; prints records a second acknowledged and how long an answer took.
// The pace is kept whatever the hub does: a batch that is due late counts from when it was due.
// Hostile phones have keys, too, and ask without a pause for what costs the hub most; only the others'
// answers are told.
#include <fcntl.h>
#include <poll.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

#include "base/text.h"
#include "hub/secret.h"
#include "hub/store_sqlite.h"
#include "sync/message.h"
#include "unit/hub/raw_http.h"
#include "unit/hub/temporary_folder.h"

namespace {

using namespace nthtree;
using Clock = std::chrono::steady_clock;

struct Plan {
  int phones = 200;
  double records_per_second = 60000;
  int batch = 100;
  double seconds = 10;
  int hostile = 0;
};

std::string record_text(const ledger::DeviceKey& device, std::uint64_t sequence) {
  return base::print(
      "{\"v\":1,\"id\":\"%s-%llu\",\"at_ms\":1769990400000,\"tick\":%llu,\"clock_ms\":1769990400000,"
      "\"author\":\"p7\",\"kind\":\"tag_count\",\"body\":{\"block\":\"b1\",\"row\":%llu,\"tree\":%llu,"
      "\"spurs\":131,\"seconds\":95}}",
      device.text().c_str(), static_cast<unsigned long long>(sequence),
      static_cast<unsigned long long>(sequence), static_cast<unsigned long long>(1 + sequence % 40),
      static_cast<unsigned long long>(1 + sequence % 90));
}

struct Phone {
  std::string key;
  std::string proof = hub::random_text();
  ledger::DeviceKey device = sync::device_of_proof(proof);
  std::unique_ptr<test::RawHttp> http;
  unsigned short port = 0;
  std::uint64_t next = 1;
  Clock::time_point due;

  std::string hello() const {
    return posted("/v1/hello", write(sync::HelloRequest{device, {}, {}, 1, {proof}}));
  }

  std::string request(int batch) {
    std::vector<std::string> bytes;
    sync::PushRequest push{device, {}, {}, {}};
    for (int i = 0; i < batch; ++i, ++next) {
      bytes.push_back(record_text(device, next));
      push.ids.push_back({device, next});
    }
    for (const std::string& b : bytes) push.lines.push_back(b);
    return posted("/v1/push", write(push));
  }

  std::string posted(const std::string& path, const std::string& body) const {
    return "POST " + path + " HTTP/1.1\r\nHost: localhost\r\n" + test::json_type +
           "Authorization: Bearer " + key + "\r\nContent-Length: " + std::to_string(body.size()) +
           "\r\n\r\n" + body;
  }
};

// What costs the hub most for one message: lines that are no records, numbers scattered far in
// somebody's name, other bytes under somebody's numbers, holdings of thousands of ranges.
std::string attack(const Phone& own, const ledger::DeviceKey& victim, std::uint64_t turn) {
  constexpr std::uint64_t lines = 200;
  if (turn % 4 == 3) {
    sync::Coverage have;
    for (std::uint64_t s = 1; s <= 1000; ++s) have[victim].add(2 * s);
    return own.posted("/v1/hello", write(sync::HelloRequest{own.device, have, {}, 1, {}}));
  }
  std::vector<std::string> bytes;
  sync::PushRequest push{own.device, {}, {}, {}};
  for (std::uint64_t i = 1; i <= lines; ++i) {
    const std::uint64_t sequence = turn % 4 == 1 ? 2 * (lines * turn + i) : i;
    bytes.push_back(turn % 4 == 0 ? base::print("garbage %llu", static_cast<unsigned long long>(
                                                                    lines * turn + i))
                                  : record_text(victim, sequence));
    push.ids.push_back({victim, sequence});
  }
  for (const std::string& b : bytes) push.lines.push_back(b);
  return own.posted("/v1/push", write(push));
}

void harass(Phone& own, const std::vector<Phone>& victims, Clock::time_point end,
            std::atomic<std::uint64_t>& asked) {
  for (std::uint64_t turn = 0; Clock::now() < end; ++turn, ++asked) {
    if (!own.http) own.http = std::make_unique<test::RawHttp>(own.port);
    own.http->say(attack(own, victims[turn % victims.size()].device, turn));
    if (test::status_of(own.http->hear(20000)) != 200) own.http.reset();  // it may have been closed
  }
}

struct Tally {
  std::mutex mutex;
  std::vector<double> milliseconds;
  std::atomic<std::uint64_t> records = 0, failed = 0;
};

void drive(Phone& phone, const Plan& plan, Clock::time_point end, Tally& tally) {
  const std::chrono::duration<double> pause(plan.phones * plan.batch / plan.records_per_second);
  std::vector<double> took;
  while (phone.due < end) {
    std::string request = phone.request(plan.batch);
    std::this_thread::sleep_until(phone.due);
    phone.http->say(request);
    const int status = test::status_of(phone.http->hear(20000));
    took.push_back(std::chrono::duration<double, std::milli>(Clock::now() - phone.due).count());
    status == 200 ? tally.records += static_cast<std::uint64_t>(plan.batch) : ++tally.failed;
    if (status == 0) break;
    phone.due += std::chrono::duration_cast<Clock::duration>(pause);
  }
  const std::lock_guard lock(tally.mutex);
  tally.milliseconds.insert(tally.milliseconds.end(), took.begin(), took.end());
}

pid_t start_hub(const char* program, const std::string& data, unsigned short& port) {
  int ends[2];
  if (pipe(ends) != 0) return -1;
  const pid_t process = fork();
  if (process == 0) {
    dup2(ends[1], 1);
    execl(program, program, "--data", data.c_str(), "--listen", "127.0.0.1:0", nullptr);
    _exit(127);
  }
  close(ends[1]);
  FILE* said = fdopen(ends[0], "r");
  char line[256];
  while (port == 0 && fgets(line, sizeof line, said)) {
    const std::string text(line);
    if (text.rfind("listening on ", 0) == 0) {
      port = static_cast<unsigned short>(std::stoi(text.substr(text.rfind(':') + 1)));
    }
  }
  return process;
}

int measure(const char* program, const Plan& plan) {
  const test::TemporaryFolder folder;
  std::vector<Phone> phones(static_cast<std::size_t>(plan.phones));
  std::vector<Phone> hostile(static_cast<std::size_t>(plan.hostile));
  {
    auto store = hub::open_sqlite_store(folder / "hub.sqlite");
    if (!store) return std::fprintf(stderr, "%s\n", store.error().text().c_str()), 1;
    (*store)->begin();
    for (auto* all : {&phones, &hostile}) {
      for (Phone& phone : *all) {
        phone.key = hub::random_text();
        (*store)->add_key(sync::sha256(phone.key), "load", {}, 1);
      }
    }
    if (!(*store)->commit()) return 1;
  }
  unsigned short port = 0;
  const pid_t hub = start_hub(program, folder.path(), port);
  if (port == 0) return std::fprintf(stderr, "the hub did not start\n"), 1;
  for (Phone& phone : phones) {
    phone.http = std::make_unique<test::RawHttp>(port);
    phone.http->say(phone.hello());
    if (test::status_of(phone.http->hear(20000)) != 200) return 1;
  }

  Tally tally;
  const auto start = Clock::now() + std::chrono::milliseconds(200);
  const auto end = start + std::chrono::duration_cast<Clock::duration>(
                               std::chrono::duration<double>(plan.seconds));
  std::vector<std::thread> threads;
  for (std::size_t i = 0; i < phones.size(); ++i) {
    // Spread over one pause, as phones that know nothing of each other are.
    phones[i].due = start + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(
                                static_cast<double>(i) * plan.batch / plan.records_per_second));
    threads.emplace_back([&, i] { drive(phones[i], plan, end, tally); });
  }
  std::atomic<std::uint64_t> attacks = 0;
  for (Phone& phone : hostile) {
    phone.port = port;
    threads.emplace_back([&] { harass(phone, phones, end, attacks); });
  }
  for (std::thread& thread : threads) thread.join();
  const std::chrono::duration<double> took = Clock::now() - start;
  kill(hub, SIGTERM);
  int status = 0;
  rusage used{};
  wait4(hub, &status, 0, &used);
  const double hub_seconds =
      static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
      static_cast<double>(used.ru_utime.tv_usec + used.ru_stime.tv_usec) / 1e6;

  auto& ms = tally.milliseconds;
  std::sort(ms.begin(), ms.end());
  const auto at = [&](double share) {
    return ms.empty() ? 0 : ms[static_cast<std::size_t>(share * static_cast<double>(ms.size() - 1))];
  };
  std::printf("%d phones, %d records a batch, %.0f records/s offered for %.0f s: %.0f records/s on "
              "the disk, answers p50 %.1f ms, p99 %.1f ms, longest %.1f ms, %llu refused; %.1f us of "
              "the hub's processor time a record\n",
              plan.phones, plan.batch, plan.records_per_second, plan.seconds,
              static_cast<double>(tally.records) / took.count(), at(0.5), at(0.99), at(1),
              static_cast<unsigned long long>(tally.failed.load()),
              1e6 * hub_seconds / static_cast<double>(std::max<std::uint64_t>(1, tally.records)));
  if (plan.hostile > 0) {
    std::printf("  meanwhile %d hostile keys asked %llu times\n", plan.hostile,
                static_cast<unsigned long long>(attacks.load()));
  }
  return tally.failed ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return std::fprintf(stderr, "load HUB [phones] [records/s] [batch] [seconds] [hostile]\n"),
                       2;
  Plan plan;
  if (argc > 2) plan.phones = std::max(1, std::atoi(argv[2]));
  if (argc > 3) plan.records_per_second = std::max(1.0, std::atof(argv[3]));
  if (argc > 4) plan.batch = std::clamp(std::atoi(argv[4]), 1, 200);
  if (argc > 5) plan.seconds = std::atof(argv[5]);
  if (argc > 6) plan.hostile = std::clamp(std::atoi(argv[6]), 0, 100);
  return measure(argv[1], plan);
}
