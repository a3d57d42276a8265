// SPDX-License-Identifier: Apache-2.0
//
// load HUB [phones] [records a second] [records a batch] [seconds] [hostile phones]
//     [sqlite|postgresql] [hubs]
// load --straight sqlite|postgresql ROWS    the same rows into a store, without a hub
// load --fsyncs SECONDS                     of 4 KiB each, what the disk gives
//
// Starts the hub's own program on a fresh store (several on one database: the phones are shared
// out) and has phones send batches at a steady pace, each on a connection of its own; prints records
// a second acknowledged and how long an answer took.
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

#include "base/arguments.h"
#include "base/text.h"
#include "hub/secret.h"
#include "hub/store_postgresql.h"
#include "hub/store_sqlite.h"
#include "load/hub_process.h"
#include "sync/message.h"
#include "unit/hub/raw_http.h"
#include "unit/hub/temporary_folder.h"

#ifdef NTHTREE_WITH_POSTGRESQL
#include "support/temporary_postgresql.h"
#endif

namespace {

using namespace nthtree;
using Clock = std::chrono::steady_clock;

struct Plan {
  int phones = 200;
  double records_per_second = 60000;
  int batch = 100;
  double seconds = 10;
  int hostile = 0;
  bool postgresql = false;
  int hubs = 1;
};

// A fresh store, and how it is named to the hub.
class Place {
 public:
  explicit Place(bool postgresql) {
#ifdef NTHTREE_WITH_POSTGRESQL
    if (postgresql) address_ = test::TemporaryPostgresql::get().new_database();
#else
    if (postgresql) std::fprintf(stderr, "built without PostgreSQL\n"), std::exit(2);
#endif
  }
  base::Result<std::unique_ptr<hub::Store>> open() const {
    return address_.empty() ? hub::open_sqlite_store(folder_ / "hub.sqlite")
                            : hub::open_postgresql_store({address_, "farm", true});
  }
  const char* option() const { return address_.empty() ? "--data" : "--store"; }
  std::string value() const { return address_.empty() ? folder_.path() : address_; }

 private:
  const test::TemporaryFolder folder_;
  std::string address_;
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

// Keys as if each phone had joined.
bool let_in(const Place& place, const std::vector<std::vector<Phone>*>& groups) {
  auto store = place.open();
  if (!store) return std::fprintf(stderr, "%s\n", store.error().text().c_str()), false;
  (*store)->begin();
  for (auto* all : groups) {
    for (Phone& phone : *all) {
      phone.key = hub::random_text();
      (*store)->add_key(sync::sha256(phone.key), "load", {}, 1);
    }
  }
  return (*store)->commit().ok();
}

double seconds_of(const rusage& used) {
  return static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
         static_cast<double>(used.ru_utime.tv_usec + used.ru_stime.tv_usec) / 1e6;
}

struct Hubs {
  std::vector<pid_t> processes;
  std::vector<unsigned short> ports;

  bool start(const char* program, const Place& place, int number) {
    for (int i = 0; i < number; ++i) {
      unsigned short port = 0;
      processes.push_back(test::start_hub(program, place.option(), place.value(), port));
      ports.push_back(port);
      if (port == 0) return std::fprintf(stderr, "the hub did not start\n"), false;
    }
    return true;
  }
  double stop() {  // their processor time
    double seconds = 0;
    for (const pid_t process : processes) {
      int status = 0;
      rusage used{};
      kill(process, SIGTERM);
      wait4(process, &status, 0, &used);
      seconds += seconds_of(used);
    }
    return seconds;
  }
};

bool greet(std::vector<Phone>& phones, const Hubs& hubs) {
  for (std::size_t i = 0; i < phones.size(); ++i) {
    Phone& phone = phones[i];
    phone.port = hubs.ports[i % hubs.ports.size()];
    phone.http = std::make_unique<test::RawHttp>(phone.port);
    phone.http->say(phone.hello());
    if (test::status_of(phone.http->hear(20000)) != 200) return false;
  }
  return true;
}

void print(const Plan& plan, Tally& tally, double took_seconds, double hub_seconds) {
  auto& ms = tally.milliseconds;
  std::sort(ms.begin(), ms.end());
  const auto at = [&](double share) {
    return ms.empty() ? 0 : ms[static_cast<std::size_t>(share * static_cast<double>(ms.size() - 1))];
  };
  std::printf("%s, %d hub%s, %d phones, %d records a batch, %.0f records/s offered for %.0f s: "
              "%.0f records/s on the disk, answers p50 %.1f ms, p99 %.1f ms, longest %.1f ms, "
              "%llu refused; %.1f us of the hub's processor time a record\n",
              plan.postgresql ? "PostgreSQL" : "SQLite", plan.hubs, plan.hubs > 1 ? "s" : "",
              plan.phones, plan.batch, plan.records_per_second, plan.seconds,
              static_cast<double>(tally.records) / took_seconds, at(0.5), at(0.99), at(1),
              static_cast<unsigned long long>(tally.failed.load()),
              1e6 * hub_seconds / static_cast<double>(std::max<std::uint64_t>(1, tally.records)));
}

int measure(const char* program, const Plan& plan) {
  const Place place(plan.postgresql);
  std::vector<Phone> phones(static_cast<std::size_t>(plan.phones));
  std::vector<Phone> hostile(static_cast<std::size_t>(plan.hostile));
  Hubs hubs;
  if (!let_in(place, {&phones, &hostile}) || !hubs.start(program, place, plan.hubs) ||
      !greet(phones, hubs)) {
    hubs.stop();
    return 1;
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
  for (std::size_t i = 0; i < hostile.size(); ++i) {
    hostile[i].port = hubs.ports[i % hubs.ports.size()];
    threads.emplace_back([&, i] { harass(hostile[i], phones, end, attacks); });
  }
  for (std::thread& thread : threads) thread.join();
  const std::chrono::duration<double> took = Clock::now() - start;
  print(plan, tally, took.count(), hubs.stop());
  if (plan.hostile > 0) {
    std::printf("  meanwhile %d hostile keys asked %llu times\n", plan.hostile,
                static_cast<unsigned long long>(attacks.load()));
  }
  return tally.failed ? 1 : 0;
}

// What a hub's group is: so many batches in one transaction.
int put_straight(bool postgresql, std::uint64_t rows) {
  constexpr std::uint64_t group = 2000;
  const Place place(postgresql);
  auto store = place.open();
  if (!store) return std::fprintf(stderr, "%s\n", store.error().text().c_str()), 1;
  const ledger::DeviceKey device = Phone().device;
  const auto start = Clock::now();
  for (std::uint64_t sequence = 1; sequence <= rows;) {
    (*store)->begin();
    for (std::uint64_t i = 0; i < group; ++i, ++sequence) {
      (*store)->put(sequence, {device, sequence}, record_text(device, sequence), {}, {1, "load", 1});
    }
    if (!(*store)->commit()) return 1;
  }
  const std::chrono::duration<double> took = Clock::now() - start;
  std::printf("%s, straight into the store: %.0f records/s in transactions of %llu\n",
              postgresql ? "PostgreSQL" : "SQLite", static_cast<double>(rows) / took.count(),
              static_cast<unsigned long long>(group));
  return 0;
}

int sync_raw(double seconds) {
  const test::TemporaryFolder folder;
  const int file = open((folder / "raw").c_str(), O_WRONLY | O_CREAT, 0600);
  const std::string page(4096, 'x');
  std::vector<double> ms;
  const auto start = Clock::now();
  while (Clock::now() - start < std::chrono::duration<double>(seconds)) {
    const auto before = Clock::now();
    if (write(file, page.data(), page.size()) < 0 || fdatasync(file) != 0) return 1;
    ms.push_back(std::chrono::duration<double, std::milli>(Clock::now() - before).count());
  }
  close(file);
  std::sort(ms.begin(), ms.end());
  std::printf("disk: %.0f fsyncs/s of 4 KiB, p50 %.2f ms, p99 %.2f ms\n",
              static_cast<double>(ms.size()) / seconds, ms[ms.size() / 2],
              ms[ms.size() * 99 / 100]);
  return 0;
}

int refused(const base::Error& error) {
  std::fprintf(stderr, "%s\nload HUB [phones] [records/s] [batch] [seconds] [hostile] "
                       "[sqlite|postgresql] [hubs]\n", error.text().c_str());
  return 2;
}

constexpr double seconds_most = 86400;
constexpr std::int64_t rows_most = 100'000'000;

base::Result<Plan> plan_of(const base::Arguments& given) {
  const auto word = [&](std::size_t place, const char* otherwise) {
    return place < given.rest.size() ? given.rest[place] : std::string(otherwise);
  };
  Plan plan;
  plan.postgresql = word(6, "sqlite") == "postgresql";
  const auto phones = given.whole(1, 1, 10000, plan.phones, "phones");
  const auto pace = base::read_number(word(2, "60000"), 1, 1e7, "records a second");
  const auto batch = given.whole(3, 1, 200, plan.batch, "records a batch");
  const auto seconds = base::read_number(word(4, "10"), 0.1, seconds_most, "seconds");
  const auto hostile = given.whole(5, 0, 100, plan.hostile, "hostile phones");
  const auto hubs = given.whole(7, 1, plan.postgresql ? 8 : 1, plan.hubs, "hubs");
  for (const auto* read : {&phones, &batch, &hostile, &hubs}) {
    if (!*read) return read->error();
  }
  for (const auto* read : {&pace, &seconds}) {
    if (!*read) return read->error();
  }
  plan.phones = static_cast<int>(*phones);
  plan.records_per_second = *pace;
  plan.batch = static_cast<int>(*batch);
  plan.seconds = *seconds;
  plan.hostile = static_cast<int>(*hostile);
  plan.hubs = static_cast<int>(*hubs);
  return plan;
}

}  // namespace

int main(int argc, char** argv) {
  rlimit files{};  // a connection a phone
  if (getrlimit(RLIMIT_NOFILE, &files) == 0) {
    files.rlim_cur = files.rlim_max;
    setrlimit(RLIMIT_NOFILE, &files);
  }
  const auto given = base::read_arguments({argv + 1, argv + argc},
                                          {{"--straight", true}, {"--fsyncs", true}}, 0, 8);
  if (!given) return refused(given.error());
  if (given->has("--fsyncs")) {
    const auto seconds = base::read_number(given->value("--fsyncs"), 0.1, seconds_most, "seconds");
    return seconds ? sync_raw(*seconds) : refused(seconds.error());
  }
  if (given->has("--straight")) {
    const auto rows = given->whole(0, 1, rows_most, 200000, "rows");
    return rows ? put_straight(given->value("--straight") == "postgresql",
                               static_cast<std::uint64_t>(*rows))
                : refused(rows.error());
  }
  if (given->rest.empty()) return refused({"missing_argument", "the hub's program", "HUB"});
  const auto plan = plan_of(*given);
  return plan ? measure(given->rest[0].c_str(), *plan) : refused(plan.error());
}
