// SPDX-License-Identifier: Apache-2.0
//
// What must hold once all is quiet. One file an invariant; each says what it found in words.
#pragma once

#include <string>
#include <vector>

#include "simulation/phones/world.h"

namespace nthtree::simulation {

using Failures = std::vector<std::string>;

void check_drained(const World& world, Failures& failures);   // nothing waits to be sent
void check_equal(const World& world, Failures& failures);     // all hold the same, byte for byte
void check_lost(const World& world, Failures& failures);      // every saved record is there
void check_doubled(const World& world, Failures& failures);   // … and once; nothing is invented
void check_seasons(const World& world, Failures& failures);   // all show the same
void check_keys(const World& world, Failures& failures);      // no two phones write under one key
void check_order(const World& world, Failures& failures);     // a phone's records keep their order
void check_set_aside(const World& world, Failures& failures); // nothing counts as no record
void check_backup(const World& world, Failures& failures);    // what counts as backed up, is
void check_promises(const World& world, Failures& failures);  // acknowledged means on the disk
void check_trust(const World& world, Failures& failures);     // what the hostile phone got
void check_traffic(const World& world, Failures& failures);   // no phone floods the hub

Failures check(const World& world);

}  // namespace nthtree::simulation
