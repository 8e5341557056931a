"""Computes the cameras and homographies of Changeover again with OpenCV.

    check_measure.py FILE

FILE holds one JSON object a line: a camera, what it sees of the court, the homography of the ground, and places on the
ground that it sees in given pixels. Pixels and places must agree to 1e-6, the homography (length 1) too. Says how far the
furthest is off, and ends with 1 if anything differs.
"""

import json
import sys

import cv2
import numpy as np

WITHIN = 1e-6


def camera(told):
    """OpenCV's camera matrix, distortion, rotation vector and translation of the same camera."""
    position, at = np.array(told["position"]), np.array(told["at"])
    ahead = (at - position) / np.linalg.norm(at - position)
    right = np.cross(ahead, [0, 0, 1])
    right /= np.linalg.norm(right)
    rotation = np.array([right, np.cross(ahead, right), ahead])
    width, height = told["size"]
    focal = width / 2 / np.tan(np.radians(told["wide"]) / 2)
    matrix = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
    # Changeover counts in half diagonals of the picture, OpenCV in focal lengths.
    lens = np.array([told["radial"] * (focal / (np.hypot(width, height) / 2)) ** 2, 0, 0, 0])
    return matrix, lens, rotation, -rotation @ position


def differences(told):
    """What of one camera is how far off."""
    matrix, lens, rotation, shift = camera(told)
    ground = np.array(told["landmarks"])
    places = np.c_[ground, np.zeros(len(ground))]
    turned = cv2.Rodrigues(rotation)[0]
    seen = cv2.projectPoints(places, turned, shift, matrix, lens)[0][:, 0]
    straight = cv2.projectPoints(places, turned, shift, matrix, np.zeros(4))[0][:, 0]
    # Far outside the picture, Changeover lets the lens's distortion grow no more, so that nothing is folded back into it.
    near = np.hypot(*(straight / told["size"] - 0.5).T * np.array([told["size"]]).T) < 1.4 * np.hypot(*told["size"]) / 2
    yield "seen", np.abs(seen - told["seen"])[near].max()
    found = cv2.findHomography(ground, straight, 0)[0]
    found /= np.linalg.norm(found) * np.sign(found[2, 2])
    yield "homography", np.abs(found - np.array(told["homography"])).max()
    exact = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 200, 1e-14)
    for pixel, place in zip(told["pixels"], told["grounds"]):
        point = cv2.undistortPoints(np.array([[pixel]]), matrix, lens, R=None, P=None, criteria=exact)[0, 0]
        ray = rotation.T @ [point[0], point[1], 1]
        if ray[2] > -0.01:
            continue
        position = np.array(told["position"])
        expected = (position - ray * position[2] / ray[2])[:2]
        yield "ground", np.inf if place is None else np.abs(expected - place).max()


def main():
    worst, count = {}, 0
    for line in open(sys.argv[1]):
        count += 1
        for what, off in differences(json.loads(line)):
            worst[what] = max(worst.get(what, 0), off)
    print(f"{count} cameras; furthest off:", ", ".join(f"{w} {o:.1e}" for w, o in worst.items()))
    sys.exit(any(not off < WITHIN for off in worst.values()))


main()
