// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/hub.h"

namespace nthtree::simulation {

void FaultyStore::put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
                      const sync::Standing& standing, const sync::Provenance& from) {
  if (fault_ == Fault::loser_thrown_away && sync::original_of(id, bytes)) return;
  std::string kept(bytes);
  if (fault_ == Fault::bytes_rewritten) kept.insert(1, " ");
  MemoryHubStore::put(arrival, id, kept, standing, from);
}

std::vector<sync::Arrival> FaultyStore::page(std::uint64_t after, std::uint64_t records_max,
                                             std::size_t bytes_max) {
  auto page = MemoryHubStore::page(after, records_max, bytes_max);
  if (fault_ == Fault::page_skips && page.size() > 1 && random_.chance(0.2)) {
    page.erase(page.end() - 2);
  }
  return page;
}

Hub::Hub(const Settings& settings, base::Random& random)
    : settings_(settings), random_(random), store_("epoch 1", settings.fault, random),
      side_(store_) {
  open();
}

void Hub::open() {
  NTHTREE_ASSERT(side_.open().ok());
  store_.note_opening("start " + std::to_string(++starts_));
}

void Hub::crash() {
  store_.rollback();
  open();
}

orchard::Role role_of(int phone) {
  if (phone == hostile_phone) return orchard::Role::pruner;
  return phone % 3 == 0   ? orchard::Role::manager
         : phone % 3 == 1 ? orchard::Role::pruner
                          : orchard::Role::lead;
}

std::optional<sync::HubReply> Hub::answer(const std::string& path, std::string body, int phone,
                                          const std::string& bearer) {
  if (away) return std::nullopt;
  ++requests;
  if (phone == stranger) return sync::HubReply{401, sync::write_error({"no_key", "", ""})};
  if (path == sync::path_join) {
    const auto number = static_cast<std::int64_t>(keys_.size()) + 1;
    const std::string fresh = "key" + std::to_string(number);
    const bool is_pruner = role_of(phone) == orchard::Role::pruner;
    keys_[fresh] = {number, std::to_string(phone), is_pruner ? "p" + std::to_string(phone) : "",
                    role_of(phone)};
    return sync::HubReply{200, sync::write(sync::JoinReply{fresh})};
  }
  const auto key = keys_.find(bearer);
  if (key == keys_.end()) return sync::HubReply{401, sync::write_error({"no_key", "", ""})};
  auto request = sync::read_hub_request(path, std::move(body));
  if (!request) return sync::HubReply{400, sync::write_error(request.error())};
  if (settings_.fault == Fault::bad_batch_refused) {
    for (const bool unreadable : request->unreadable) {
      if (unreadable) return sync::HubReply{503, sync::write_error({"bad", "", ""})};
    }
  }
  if (auto* pull = std::get_if<sync::PullRequest>(&request->message);
      pull && settings_.fault == Fault::cursor_unchecked && !pull->cursor.epoch.empty()) {
    pull->cursor.epoch = store_.epoch();
    pull->cursor.arrival = std::min(pull->cursor.arrival, store_.last_arrival());
    pull->cursor.opening = store_.opening_of(pull->cursor.arrival);
  }
  sync::HubReply reply = side_.take(*request, key->second, wall_ms);
  if (reply.status != 200) {
    crash();  // the transaction is rolled back and the lists are read again
    return reply;
  }
  if (std::holds_alternative<sync::HelloRequest>(request->message) &&
      settings_.fault == Fault::hello_trusts_marks) {
    auto hello = *sync::read_hello_reply(*sync::read_envelope(reply.body));
    hello.missing.clear();
    reply.body = sync::write(hello);
  }
  const bool dies = !calm && random_.chance(settings_.hub_crash);
  if (settings_.fault == Fault::answer_before_commit && dies) {
    crash();
    return reply;
  }
  if (dies && random_.chance(0.5)) {
    crash();
    return std::nullopt;
  }
  store_.commit();
  if (dies) {
    crash();
    return std::nullopt;
  }
  return reply;
}

void Hub::back_up() {
  auto copy = store_.content();
  for (const auto& [device, held] : side_.held()) copy.backed_up[device] = side_.head(device);
  auto live = store_.content();
  live.backed_up = copy.backed_up;
  store_.replace(std::move(live));
  if (settings_.fault != Fault::backup_told_too_early || backups_.empty()) {
    backups_.push_back(std::move(copy));
  }
}

void Hub::restore(std::size_t backup, bool by_hand) {
  auto content = backups_[backup];
  content.epoch = by_hand ? store_.epoch() : "epoch " + std::to_string(++epochs_);
  store_.replace(std::move(content));
  open();
}

}  // namespace nthtree::simulation
