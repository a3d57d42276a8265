// SPDX-License-Identifier: Apache-2.0
//
// One record from outside: reading it, moving it to another id, taking it into a season.
#include <cstdint>

#include "ledger/season.h"
#include "sync/rehome.h"

using namespace nthtree;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const auto record = ledger::read_record(bytes);
  const auto id = sync::well_formed_id(bytes);
  if (record) {
    NTHTREE_ASSERT(record->bytes == bytes);
    ledger::Season season, again;
    NTHTREE_ASSERT(season.apply(*record));
    NTHTREE_ASSERT(!season.apply(*record));
    again.apply(*record);
    NTHTREE_ASSERT(season.fingerprint() == again.fingerprint());
    if (record->body.index() != 0) {
      const auto written = ledger::write_record(*record);
      NTHTREE_ASSERT(!written || written->id == record->id);
    }
  }
  if (!id) return 0;
  if (const auto moved = sync::rehome(bytes)) {
    const auto original = sync::original_of(moved->id, moved->bytes);
    NTHTREE_ASSERT(original && original->id == *id && original->bytes == bytes);
  }
  return 0;
}
