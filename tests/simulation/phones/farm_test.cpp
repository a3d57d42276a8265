// SPDX-License-Identifier: Apache-2.0
//
// Farms by the thousand, and proof that the checkers see a fault when there is one.
// NTHTREE_SEEDS=50000 runs more of them (tools/simulate does).
#include <doctest/doctest.h>

#include <atomic>
#include <cstdlib>
#include <mutex>
#include <thread>

#include "simulation/phones/check.h"

namespace nthtree::simulation {
namespace {

std::uint64_t seeds_wanted() {
  const char* wanted = std::getenv("NTHTREE_SEEDS");
  return wanted ? std::strtoull(wanted, nullptr, 10) : 1000;
}

struct Outcome {
  std::uint64_t farms = 0, failed = 0, first_failed = 0;
  std::string first_failure;
};

// The farms of seeds 1 … `most`; stops at the first failure where asked to.
Outcome run_farms(std::uint64_t most, Fault fault, bool until_failure) {
  Outcome outcome;
  std::mutex mutex;
  std::atomic<std::uint64_t> next = 1;
  const auto work = [&] {
    for (std::uint64_t seed = next++; seed <= most; seed = next++) {
      World world(draw(seed, fault));
      world.run();
      const Failures failures = check(world);
      const std::lock_guard lock(mutex);
      ++outcome.farms;
      if (failures.empty()) continue;
      ++outcome.failed;
      if (outcome.first_failed == 0 || seed < outcome.first_failed) {
        outcome.first_failed = seed;
        outcome.first_failure = failures.front();
      }
      if (until_failure) next = most + 1;
    }
  };
  std::vector<std::thread> threads;
  for (unsigned i = 0; i < std::max(1u, std::thread::hardware_concurrency()); ++i) {
    threads.emplace_back(work);
  }
  for (std::thread& thread : threads) thread.join();
  return outcome;
}

TEST_SUITE("simulation") {

TEST_CASE("a thousand farms in a storm lose nothing, double nothing, and end equal") {
  const Outcome outcome = run_farms(seeds_wanted(), Fault::none, false);
  const std::string replay = draw(outcome.first_failed).text();
  INFO(replay);
  INFO("tools/simulate ", outcome.first_failed, ": ", outcome.first_failure);
  CHECK(outcome.failed == 0);
  CHECK(outcome.farms == seeds_wanted());
}

TEST_CASE("the same seed is the same farm, message for message") {
  for (const std::uint64_t seed : {3, 45, 352}) {
    World one(draw(seed)), two(draw(seed));
    one.run();
    two.run();
    CHECK(one.messages == two.messages);
    CHECK(one.now_ms == two.now_ms);
    CHECK(one.hub.content().by_id == two.hub.content().by_id);
  }
}

// Seeds that once failed, each with what was wrong then.
TEST_CASE("farms that once went wrong go right") {
  for (const auto& [seed, was] : {
           std::pair{10, "a batch cut short on its way was left out for good"},
           std::pair{45, "the beginning of a record passed for the record"},
           std::pair{115, "what an old version could not read was not passed on"},
           std::pair{51, "a phone forgot to tell what it held where the hub had others"},
           std::pair{258, "a number whose record had moved away was given again"},
           std::pair{346, "a new key was told the old key's backup"},
           std::pair{352, "a hub refilled after a set-back looked like its former self"},
           std::pair{421, "a number whose record had moved away was given again"},
           std::pair{2691, "a count got a number that another's record was being stored under"},
           std::pair{1469, "a message cut short was taken for a bad record, left out for long"},
           std::pair{3264, "a forged withdrawal counted once a manager had it in a file"},
           std::pair{467, "what the hub kept apart went on counting where its answer was lost"},
       }) {
    CAPTURE(seed);
    CAPTURE(was);
    World world(draw(static_cast<std::uint64_t>(seed)));
    world.run();
    const Failures failures = check(world);
    CHECK_MESSAGE(failures.empty(), (failures.empty() ? "" : failures.front()));
  }
}

// The canary: were a planted fault to go unnoticed, the thousand farms above would prove nothing.
TEST_CASE("every planted fault is noticed") {
  for (int i = 1; i < static_cast<int>(Fault::count_); ++i) {
    const auto fault = static_cast<Fault>(i);
    const Outcome outcome = run_farms(1000, fault, true);
    const std::string name = name_of(fault);
    CAPTURE(name);
    CHECK(outcome.failed > 0);
    MESSAGE(name, " noticed after ", outcome.farms, " farms: ",
            outcome.first_failure.substr(0, 60));
  }
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::simulation
