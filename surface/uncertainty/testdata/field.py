# Makes field.txt from the shots and fields of kriging.txt. Run as: python3 field.py > field.txt
# Debian 12: python3-numpy 1.24.2, python3-scipy 1.10.1 (BSD-3-Clause). No test needs it.
import numpy as np
import scipy
from scipy.special import gamma, kv

shots, fields = [], []
for line in open("kriging.txt"):
    word = line.split()
    if word[0] == "shot":
        shots.append([float(w) for w in word[1:]])
    if word[0] == "field":
        fields.append([float(w) for w in word[1:]])
shots = np.array(shots)


def matern(nu, d):
    """The general form of the Matern family, by the Bessel function of the second kind."""
    d = np.sqrt(2 * nu) * np.asarray(d, float)
    out = np.ones_like(d)
    out[d > 0] = 2 ** (1 - nu) / gamma(nu) * d[d > 0] ** nu * kv(nu, d[d > 0])
    return out


print(f"# Correlations and likelihoods by numpy {np.__version__} and scipy {scipy.__version__}. Made by field.py.")
print("# correlation nu distance/reach value: by the general form of the Matern family")
print("# likelihood field log misfit about: of the shots in kriging.txt with a drift of 1, x, y, by n - 3 orthonormal")
print("#   contrasts without drift: minus half the log of the product of the determinants of their covariance in sills")
print("#   and of XtX; their squares by that covariance inverted, m2; their mean variance without own parts, in sills")
for nu in (0.5, 1.5, 2.5):
    for d in (0.001, 0.03, 0.2, 0.5, 1, 1.7, 3, 8, 20):
        print("correlation", nu, d, f"{matern(nu, [d])[0]:.15g}")
z = shots[:, 2]
X = np.c_[np.ones(len(z)), shots[:, :2]]
A = np.linalg.svd(X)[0][:, 3:]
apart = np.hypot(*(shots[:, None, k] - shots[None, :, k] for k in (0, 1)))
for i, (nu, reach, sill, own) in enumerate(fields):
    C = A.T @ matern(nu, apart / reach) @ A
    w, V = np.linalg.eigh(C)  # the own part only adds to these
    w += own / sill
    log = -0.5 * np.sum(np.log(w)) - 0.5 * np.linalg.slogdet(X.T @ X)[1]
    print("likelihood", i + 1, f"{log:.12g} {np.sum((V.T @ A.T @ z) ** 2 / w):.12g} {np.trace(C) / (len(z) - 3):.12g}")
