// SPDX-License-Identifier: Apache-2.0
//
// Records pushed, stored and pulled, whatever they are: the same again changes nothing, and a phone
// that fetches everything holds what the hub holds.
//
// The input is lines; each is pushed under the id it names (or another, where it names none), a
// line of a single "." ends a batch.
#include <cstdint>

#include "support/memory_hub_store.h"
#include "sync/client.h"
#include "sync/hub_side.h"

using namespace nthtree;
using namespace nthtree::sync;

namespace {

using Content = std::map<ledger::RecordId, std::string>;

Content content(test::MemoryHubStore& store) {
  Content all;
  store.each_held([&](const HeldRecord& held) { all[held.id] = *store.bytes(held.id); });
  return all;
}

void push(HubSide& hub, test::MemoryHubStore& store, const std::vector<std::string_view>& lines) {
  PushRequest push{{1, 1}, {}, {}, {}};
  for (const std::string_view line : lines) {
    push.ids.push_back(peek_id(line).value_or(ledger::RecordId{{9, 9}, push.ids.size() + 1}));
    push.lines.push_back(line);
  }
  auto request = read_hub_request(path_push, write(push));
  NTHTREE_ASSERT(request.ok());
  const HubReply reply = hub.take(*request, {1, "fuzz", "", orchard::Role::manager}, 1);
  NTHTREE_ASSERT(reply.status == 200);
  const auto envelope = read_envelope(reply.body);
  NTHTREE_ASSERT(envelope.ok() && read_push_reply(*envelope).ok());
  store.commit();
}

std::vector<std::vector<std::string_view>> batches_of(std::string_view text) {
  std::vector<std::vector<std::string_view>> batches(1);
  while (!text.empty() && batches.size() < 20) {
    const std::string_view line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(text.size(), line.size() + 1));
    if (line == "." || batches.back().size() == batch_records_max) batches.emplace_back();
    if (line != "." && !line.empty()) batches.back().push_back(line);
  }
  return batches;
}

void fetch_all(HubSide& hub, Client& client) {
  Moment now;
  client.start({7, 7}, now);
  client.join("c", "n", now);
  for (int rounds = 0; rounds < 1000; ++rounds) {
    auto actions = client.take_actions();
    if (actions.empty()) return;
    for (Action& action : actions) {
      if (auto* send = std::get_if<Send>(&action)) {
        if (send->path == path_join) {
          client.response(send->request, 200, write(JoinReply{"key"}), now);
          continue;
        }
        auto request = read_hub_request(send->path, send->body);
        NTHTREE_ASSERT(request.ok());
        client.response(send->request, 200, hub.take(*request, {2, "p", "", orchard::Role::manager}, 1).body, now);
      } else if (auto* store = std::get_if<StoreChange>(&action)) {
        client.store_done(store->store, true, now);
      }
    }
  }
  NTHTREE_ASSERT(false);  // it never comes to rest
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto batches = batches_of({reinterpret_cast<const char*>(data), size});
  test::MemoryHubStore store("e");
  HubSide hub(store);
  NTHTREE_ASSERT(hub.open().ok());
  for (const auto& batch : batches) push(hub, store, batch);
  const Content once = content(store);
  for (auto batch = batches.rbegin(); batch != batches.rend(); ++batch) push(hub, store, *batch);
  NTHTREE_ASSERT(content(store) == once);
  HubSide again(store);
  NTHTREE_ASSERT(again.open().ok());
  NTHTREE_ASSERT(again.held() == hub.held());

  Client client;
  fetch_all(hub, client);
  Content fetched;
  client.store().each([&](const ledger::RecordId& id, std::string_view b) { fetched[id] = b; });
  NTHTREE_ASSERT(fetched == once);
  return 0;
}
