// SPDX-License-Identifier: Apache-2.0
//
// simulate SEED [--fault NAME]            replays one farm and tells what happens
// simulate --seeds FROM TO [--fault NAME] runs many; prints those that fail, and a sum
// simulate --season SEED DAYS             forty phones over so many days
#include <atomic>
#include <chrono>
#include <cstdio>
#include <mutex>
#include <thread>

#include "base/arguments.h"
#include "simulation/phones/check.h"

using namespace nthtree::simulation;

namespace {

int replay(const Settings& settings) {
  std::printf("%s\n", settings.text().c_str());
  const auto started = std::chrono::steady_clock::now();
  World world(settings);
  world.verbose = settings.days == 0;
  world.run();
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - started;
  const Failures failures = check(world);
  for (const std::string& failure : failures) std::printf("FAILED %s\n", failure.c_str());
  std::printf("%zu records saved, %zu at the hub, %zu excused, %llu messages, at rest %lld s after the "
              "storm; %.0f s\n",
              world.saved.size(), world.hub.content().by_id.size(), world.excused.size(),
              static_cast<unsigned long long>(world.messages),
              static_cast<long long>(world.quiet_ms / 1000), took.count());
  return failures.empty() ? 0 : 1;
}

int run_many(std::uint64_t from, std::uint64_t to, Fault fault) {
  std::atomic<std::uint64_t> next = from, failed = 0, records = 0, messages = 0;
  std::mutex printing;
  const auto started = std::chrono::steady_clock::now();
  const auto work = [&] {
    for (std::uint64_t seed = next++; seed <= to; seed = next++) {
      World world(draw(seed, fault));
      world.run();
      const Failures failures = check(world);
      records += world.saved.size();
      messages += world.messages;
      if (failures.empty()) continue;
      ++failed;
      const std::lock_guard lock(printing);
      std::printf("%s\n", world.settings.text().c_str());
      for (std::size_t i = 0; i < failures.size() && i < 5; ++i) {
        std::printf("  FAILED %s\n", failures[i].c_str());
      }
    }
  };
  std::vector<std::thread> threads;
  for (unsigned i = 0; i < std::max(1u, std::thread::hardware_concurrency()); ++i) {
    threads.emplace_back(work);
  }
  for (std::thread& thread : threads) thread.join();
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - started;
  std::printf("%llu farms, %llu records saved, %llu messages in %.1f s; %llu failed\n",
              static_cast<unsigned long long>(to - from + 1),
              static_cast<unsigned long long>(records.load()),
              static_cast<unsigned long long>(messages.load()), took.count(),
              static_cast<unsigned long long>(failed.load()));
  return failed ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  const auto arguments = nthtree::base::read_arguments(
      {argv + 1, argv + argc}, {{"--fault", true}, {"--seeds", false}, {"--season", false}}, 1, 2);
  const bool many = arguments && arguments->has("--seeds");
  const bool season = arguments && arguments->has("--season");
  const Fault fault = arguments && arguments->has("--fault")
                          ? fault_named(arguments->value("--fault"))
                          : Fault::none;
  std::vector<std::uint64_t> numbers;
  for (const std::string& word : arguments ? arguments->rest : nthtree::base::Words{}) {
    const auto number = nthtree::base::read_whole(word, 0, 1LL << 53, "SEED");
    if (number) numbers.push_back(static_cast<std::uint64_t>(*number));
  }
  if (fault == Fault::count_ || numbers.size() != (many || season ? 2u : 1u)) {
    std::fprintf(stderr, "simulate SEED | --seeds FROM TO | --season SEED DAYS   [--fault NAME], of:\n");
    for (int i = 0; i < static_cast<int>(Fault::count_); ++i) {
      std::fprintf(stderr, "  %s\n", name_of(static_cast<Fault>(i)));
    }
    return 2;
  }
  if (season) return replay(draw_season(numbers[0], static_cast<int>(numbers[1])));
  return many ? run_many(numbers[0], numbers[1], fault) : replay(draw(numbers[0], fault));
}
