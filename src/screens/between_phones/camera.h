// SPDX-License-Identifier: Apache-2.0
//
// The camera as part of a screen: its picture, how far the chain of codes is, and what is wrong.
//
// Private to this folder.
#pragma once

#include "screens/parts/frame.h"

namespace nthtree::screens {

// While session.exchange.camera.on: the picture, the progress, what is missing.
void camera_here(Frame& frame);
// Why there is no picture, or what was read that is no use here; nothing where all is well.
void camera_trouble(Frame& frame);

}  // namespace nthtree::screens
