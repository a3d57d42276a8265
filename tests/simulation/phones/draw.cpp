// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/draw.h"

#include "base/random.h"
#include "base/text.h"

namespace nthtree::simulation {
namespace {

constexpr const char* fault_names[] = {
    "none",          "store_not_atomic", "saved_before_disk",   "answer_before_commit",
    "hello_trusts_marks", "cursor_unchecked", "key_kept",       "loser_thrown_away",
    "retry_by_event_only", "bad_batch_refused", "unknown_dropped", "rebuild_ignored",
    "page_skips",    "bytes_rewritten",  "drops_ignored",       "backup_told_too_early",
};
static_assert(std::size(fault_names) == static_cast<std::size_t>(Fault::count_));

}  // namespace

const char* name_of(Fault fault) { return fault_names[static_cast<std::size_t>(fault)]; }

Fault fault_named(const std::string& name) {
  for (std::size_t i = 0; i < std::size(fault_names); ++i) {
    if (name == fault_names[i]) return static_cast<Fault>(i);
  }
  return Fault::count_;
}

Settings draw(std::uint64_t seed, Fault fault) {
  base::Random random(seed * 2 + 1);
  const auto up_to = [&](int most) { return static_cast<int>(random.below(static_cast<std::uint64_t>(most) + 1)); };
  // Half of the draws of each trouble are none at all, so that troubles also meet each other alone.
  const auto maybe = [&](double most) { return random.chance(0.5) ? most * random.uniform() : 0; };
  const auto some = [&](int most) { return random.chance(0.5) ? up_to(most) : 0; };
  Settings s;
  s.seed = seed;
  s.fault = fault;
  // Mostly few phones, where a fault is easy to follow; one farm in twenty has up to forty.
  s.phones = random.chance(0.05) ? 10 + up_to(30) : 2 + up_to(5);
  s.counts_per_phone = s.phones > 9 ? 2 + up_to(4) : 2 + up_to(14);
  s.storm_ms = 60000 * (3 + up_to(12));
  s.lost = maybe(0.4);
  s.twice = maybe(0.3);
  s.cut = maybe(0.1);
  s.portal = maybe(0.1);
  s.delay_ms_max = random.chance(0.3) ? 15000 : 50 + up_to(2000);
  s.disk_ms_max = random.chance(0.2) ? 5000 : 1 + up_to(200);
  s.hub_crash = maybe(0.1);
  s.phone_crashes = some(3 * s.phones);
  s.partitions = some(2 * s.phones);
  s.full_disks = some(s.phones);
  s.clock_jumps = some(s.phones);
  s.exchanges = some(2 * s.phones);
  s.clones = some(2);
  s.set_backs = some(2);
  s.resets = some(2);
  s.strangers = some(2);
  s.hub_outages = some(3);
  s.hub_full = some(2);
  s.backups = some(4);
  s.restores = s.backups ? some(2) : 0;
  s.replaced_by_hand = s.backups ? some(1) : 0;
  s.corrections = maybe(0.4);
  s.later_kinds = some(4);
  s.unreadable = some(3);
  s.skew_ms_max = random.chance(0.3) ? 3LL * 86400000 : 60000;
  s.hostile_acts = some(40);
  return s;
}

Settings draw_season(std::uint64_t seed, int days) {
  base::Random random(seed * 2 + 1);
  const auto about = [&](int many) {
    return many / 2 + static_cast<int>(random.below(static_cast<std::uint64_t>(many) + 1));
  };
  Settings s;
  s.seed = seed;
  s.phones = 40;
  s.days = days;
  s.storm_ms = days * 86400000LL;
  s.counts_per_phone = 8 * days;
  s.lost = 0.1;
  s.twice = 0.05;
  s.cut = 0.02;
  s.portal = 0.02;
  s.delay_ms_max = 3000;
  s.disk_ms_max = 200;
  s.hub_crash = 0.0005;
  s.phone_crashes = about(20 * days);
  s.partitions = about(20 * days);
  s.full_disks = about(2 * days);
  s.clock_jumps = about(days);
  s.exchanges = about(4 * days);
  s.clones = s.set_backs = s.resets = about(days / 8 + 1);
  s.strangers = s.hub_outages = about(days);
  s.hub_full = about(days / 4 + 1);
  s.backups = about(days);
  s.restores = about(days / 10 + 1);
  s.replaced_by_hand = about(days / 15 + 1);
  s.corrections = 0.1;
  s.later_kinds = s.unreadable = about(days / 5 + 1);
  s.skew_ms_max = 3600000;
  s.hostile_acts = about(10 * days);
  return s;
}

std::string Settings::text() const {
  return base::print(
      "seed %llu, fault %s: %d phones with %d counts in %lld s; lost %.2f twice %.2f cut %.2f portal "
      "%.2f delay %lld ms; disk %lld ms, hub crash %.2f; phones: %d crashes, %d partitions, %d full "
      "disks, %d clock jumps, %d exchanges, %d clones, %d set back, %d reset, %d without a key; hub: "
      "%d outages, %d full, %d backups, %d restores, %d replaced by hand; corrections %.2f, %d of "
      "later kinds, %d unreadable; clocks up to %lld s off; "
      "%d hostile acts",
      static_cast<unsigned long long>(seed), name_of(fault), phones, counts_per_phone,
      static_cast<long long>(storm_ms / 1000), lost, twice, cut, portal,
      static_cast<long long>(delay_ms_max), static_cast<long long>(disk_ms_max), hub_crash,
      phone_crashes, partitions, full_disks, clock_jumps, exchanges, clones, set_backs, resets,
      strangers, hub_outages, hub_full, backups, restores, replaced_by_hand, corrections,
      later_kinds, unreadable, static_cast<long long>(skew_ms_max / 1000), hostile_acts);
}

}  // namespace nthtree::simulation
