// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/world.h"

#include <cstdarg>
#include <cstdio>

namespace nthtree::simulation {
namespace {

constexpr std::int64_t quiet_ms_max = 45 * 60000;
constexpr std::int64_t quiet_step_ms = 20000;
// A phone at rest asks for news every 20 s and says hello every 60 s; catching up takes more.
constexpr double messages_per_second_max = 1;

}  // namespace

std::string first_bytes(const ledger::RecordId& id, const std::string& bytes) {
  const auto original = sync::original_of(id, bytes);
  return original ? original->bytes : bytes;
}

World::World(const Settings& s)
    : settings(s), random(s.seed), hub(settings, random), hostile(*this) {
  for (int i = 0; i < settings.phones; ++i) {
    const auto off = static_cast<std::int64_t>(
        random.below(static_cast<std::uint64_t>(2 * settings.skew_ms_max + 1)));
    phones.emplace_back(*this, i, off - settings.skew_ms_max);
  }
}

void World::say(const char* format, ...) {
  if (!verbose) return;
  std::printf("%10.3f  ", static_cast<double>(now_ms) / 1000);
  va_list arguments;
  va_start(arguments, format);
  std::vprintf(format, arguments);
  va_end(arguments);
  std::putchar('\n');
}

void World::at(std::int64_t in_ms, std::function<void()> what) {
  events_.push({now_ms + in_ms, ++order_, std::move(what)});
}

void World::run_until(std::int64_t end_ms) {
  while (!events_.empty() && events_.top().at_ms <= end_ms) {
    Event event = events_.top();
    events_.pop();
    now_ms = event.at_ms;
    hub.wall_ms = morning_ms + now_ms;
    event.what();
  }
  now_ms = end_ms;
}

double World::messages_allowed(std::int64_t in_ms) const {
  return messages_per_second_max * static_cast<double>(phones.size()) *
         (static_cast<double>(in_ms) / 1000 + 60);
}

void World::run() {
  plan_storm();
  run_until(settings.storm_ms);
  calm_down();
  const std::uint64_t before = messages;
  bool talks_on = false;  // more than the longest quiet allows, which its end will not mend
  for (quiet_ms = 0; quiet_ms < quiet_ms_max && !talks_on;) {
    quiet_ms += quiet_step_ms;
    run_until(settings.storm_ms + quiet_ms);
    quiet_messages = messages - before;
    if (at_rest()) break;
    talks_on = static_cast<double>(quiet_messages) > messages_allowed(quiet_ms_max);
  }
  // What was forged is no reason to wait; those it reaches have it by then.
  if (!forged.empty() && !talks_on) run_until(settings.storm_ms + quiet_ms + 400000);
  say("at rest after %lld s", static_cast<long long>(quiet_ms / 1000));
}

bool World::at_rest() const {
  std::set<ledger::DeviceKey> keys;
  for (const Phone& phone : phones) {
    if (phone.client->status().unsent > 0 || !keys.insert(phone.device).second) return false;
    const auto [same, other] = compared_with_hub(phone);
    if (other > 0 || same != honest_at_hub() || !stands_as_at_hub(phone)) return false;
  }
  return true;
}

// A record's standing may change at the hub after a phone has it (its owner vouches for it), and
// reaches the phone with the news it asks for next.
bool World::stands_as_at_hub(const Phone& phone) const {
  for (const auto& [arrival, record] : hub.content().arrivals) {
    if (is_forged(record.id, record.bytes)) continue;
    const sync::Standing standing = phone.client->standing_of(record.id);
    if (standing.aside != record.standing.aside || standing.at_ms != record.standing.at_ms) {
      return false;
    }
  }
  return true;
}

bool World::is_forged(const ledger::RecordId& id, const std::string& bytes) const {
  return !forged.empty() && forged.count(first_bytes(id, bytes)) > 0;
}

std::pair<std::size_t, std::size_t> World::compared_with_hub(const Phone& phone) const {
  std::size_t same = 0, other = 0;
  for (const auto& [id, bytes] : phone.disk.records) {
    if (is_forged(id, bytes)) continue;
    const auto at = hub.content().by_id.find(id);
    const bool is_same =
        at != hub.content().by_id.end() && hub.content().arrivals.at(at->second).bytes == bytes;
    ++(is_same ? same : other);
  }
  return {same, other};
}

std::size_t World::honest_at_hub() const {
  if (forged.empty()) return hub.content().by_id.size();
  std::size_t honest = 0;
  for (const auto& [arrival, record] : hub.content().arrivals) {
    honest += !is_forged(record.id, record.bytes);
  }
  return honest;
}

void World::calm_down() {
  say("the storm is over");
  quiet = true;
  hub.calm = true;
  hub.away = false;
  hub.stranger = -1;
  hub.set_full(false);
  for (Phone& phone : phones) {
    phone.disk_full = phone.cut_off = false;
    phone.start();
    phone.client->network_back(phone.moment());
    phone.drive();
    phone.count();
  }
}

std::int64_t World::delay() {
  return 1 + static_cast<std::int64_t>(
                 quiet ? random.below(50)
                       : random.below(static_cast<std::uint64_t>(settings.delay_ms_max)));
}

void World::send(Phone& phone, sync::Send message) {
  ++messages;
  const int incarnation = phone.incarnation;
  const auto fails = [&](double chance) { return !quiet && random.chance(chance); };
  if (phone.cut_off || fails(settings.lost)) {
    // A broken network says so at once or, half open, never.
    if (random.chance(0.5)) {
      at(delay(), [&phone, incarnation, id = message.request] {
        phone.answer(incarnation, id, 0, "");
      });
    }
    return;
  }
  if (fails(settings.portal)) {
    at(delay(), [&phone, incarnation, id = message.request] {
      phone.answer(incarnation, id, 200, "<!doctype html><title>Welcome, guest</title>");
    });
    return;
  }
  if (fails(settings.cut)) message.body.resize(random.below(message.body.size() + 1));
  if (fails(settings.twice)) {
    at(delay(), [this, &phone, incarnation, message] {
      deliver(phone, incarnation, message, random.chance(0.5));
    });
  }
  at(delay(), [this, &phone, incarnation, message = std::move(message)] {
    deliver(phone, incarnation, message, true);
  });
}

void World::deliver(Phone& phone, int incarnation, const sync::Send& message, bool answered) {
  auto reply = hub.answer(message.path, message.body, phone.number, message.bearer);
  const auto fails = [&](double chance) { return !quiet && random.chance(chance); };
  if (reply && reply->status == 200 && message.path == sync::path_push) check_promise(message.body);
  if (!reply || !answered || fails(settings.lost)) return;
  if (fails(settings.cut)) reply->body.resize(random.below(reply->body.size() + 1));
  at(delay(), [&phone, incarnation, id = message.request, reply = std::move(*reply)] {
    phone.answer(incarnation, id, reply.status, reply.body);
  });
}

// What the hub has just said it holds must be on its disk already, under its id or a new one.
void World::check_promise(const std::string& body) {
  const auto envelope = sync::read_envelope(body);
  if (!envelope) return;
  for (const std::string_view line : envelope->lines) {
    const auto id = sync::peek_id(line);
    const auto& ids = hub.content().by_id;
    if (id && (ids.count(*id) || ids.count(sync::rehomed_id(line)))) continue;
    const auto first = id ? sync::original_of(*id, line) : std::nullopt;
    if (first && ids.count(first->id)) continue;  // nobody disputes its first id here
    if (id && is_forged(*id, std::string(line))) continue;
    promises_broken.emplace_back(line);
  }
}

// A file, a chain of QR codes: some of what one phone holds comes to another, in any order.
void World::exchange(Phone& from, Phone& to) {
  std::string lines;
  const double share = random.chance(0.5) ? 1 : random.uniform();
  for (const auto& [id, bytes] : from.disk.records) {
    if (!random.chance(share)) continue;
    if (random.chance(0.5)) {
      lines += bytes + "\n";
    } else {
      lines = bytes + "\n" + lines;
    }
  }
  if (!quiet && random.chance(settings.cut)) lines.resize(random.below(lines.size() + 1));
  say("phone %d gives %zu bytes to phone %d", from.number, lines.size(), to.number);
  to.import(lines);
}

// Whatever this destroys and nobody else holds may be missing at the end, and nothing else may.
void World::lose(const std::function<void()>& destroy) {
  const auto everything = [this] {
    std::set<std::string> all;
    for (const Phone& phone : phones) {
      for (const auto& [id, bytes] : phone.disk.records) all.insert(first_bytes(id, bytes));
    }
    for (const auto& [arrival, record] : hub.content().arrivals) {
      all.insert(first_bytes(record.id, record.bytes));
    }
    return all;
  };
  const auto before = everything();
  destroy();
  const auto after = everything();
  for (const std::string& bytes : before) {
    if (!after.count(bytes)) excused.insert(bytes);
  }
}

}  // namespace nthtree::simulation
