"""Least squares with one error for each piece is solved by taking those errors out piece by piece.

The weighted rows form an arrow: a few columns for the parameters that all rows share, and for each
piece a column of its own. Projecting a piece's rows beside its column leaves a plain least squares
of the few parameters, so that time and memory grow with the number of rows, never with its square.
"""

from dataclasses import dataclass

import numpy as np

Array = np.ndarray
RANK = 1e-13
"""Singular values below this share of the largest are taken as zero."""
LEAST_SHARE = 1e-10
"""Normal equations whose eigenvalues lie further apart lose too many digits."""


@dataclass(frozen=True, eq=False)
class Arrow:
    """Weighted rows of one least squares: first those of entries and beliefs, then of pieces."""

    slopes: Array
    """Derivatives by the shared parameters, (m, p)."""
    residual: Array
    """(m,)"""
    own: Array
    """Derivative of each row by its own piece's error, (m,); 0 where it has none."""
    piece: Array
    """The number of that piece, (m,); any number where ``own`` is 0."""
    prior_weight: Array
    """Weight that holds each piece's error to 0, (P,)."""
    error: Array
    """The pieces' errors where the derivatives were taken, (P,)."""

    @property
    def length2(self) -> Array:
        """Squared length of each piece's column, (P,)."""
        found: Array = self.prior_weight**2 + self._summed(self.own**2)
        return found

    @property
    def loss(self) -> float:
        """The squares that are to be made least."""
        return float(self.residual @ self.residual + ((self.prior_weight * self.error) ** 2).sum())

    def _summed(self, rows: Array) -> Array:
        """Sums by piece of (m,), (P,)."""
        return np.bincount(self.piece, weights=rows, minlength=len(self.prior_weight))

    def _by_piece(self) -> tuple[Array, Array]:
        """Each piece's column times those of the parameters, (P, p), and times the residual."""
        columns = [self._summed(self.own * column) for column in self.slopes.T]
        rest = self._summed(self.own * self.residual) + self.prior_weight**2 * self.error
        return np.column_stack(columns), rest

    def projected(self) -> "Projected":
        """The rows beside the pieces' columns."""
        if not len(self.prior_weight):
            none = np.zeros(0)
            hat = np.zeros(len(self.residual))
            empty = np.zeros((0, self.slopes.shape[1]))
            return Projected(self.slopes, self.residual, hat, none, empty, none)
        length2 = self.length2
        mean, rest = self._by_piece()
        mean, rest = mean / length2[:, None], rest / length2
        rows = self.slopes - self.own[:, None] * mean[self.piece]
        residual = self.residual - self.own * rest[self.piece]
        return Projected(
            np.vstack([rows, -self.prior_weight[:, None] * mean]),
            np.concatenate([residual, self.prior_weight * (self.error - rest)]),
            np.concatenate([self.own**2 / length2[self.piece], self.prior_weight**2 / length2]),
            length2,
            mean,
            rest,
        )

    def step(self, share: float = 0.0) -> tuple[Array, Array, float]:
        """What to add to parameters and errors, and the squares that a linear problem loses.

        ``share`` holds each back by so much of its square (Marquardt). The normal equations are
        good enough for a way to go: where it ends is settled by the residuals. Where they are not,
        the step is that of the triangle.
        """
        normal, right = self.slopes.T @ self.slopes, self.slopes.T @ self.residual
        size = np.sqrt(np.diag(normal))
        size = np.where(size > 0, size, 1.0)
        normal[np.diag_indices_from(normal)] *= 1 + share
        mean, rest = (
            self._by_piece() if len(self.prior_weight) else (np.zeros((0, len(size))), np.zeros(0))
        )
        length2 = self.length2 * (1 + share)
        reduced = normal - mean.T @ (mean / length2[:, None])
        scaled = reduced / np.outer(size, size)
        eigenvalues = np.linalg.eigvalsh(scaled)
        if share == 0 and not eigenvalues[0] > LEAST_SHARE * eigenvalues[-1]:
            return self.projected().step()
        aim = right - mean.T @ (rest / length2)
        by_parameters = -np.linalg.pinv(scaled, rcond=RANK, hermitian=True) @ (aim / size) / size
        errors = -(rest + mean @ by_parameters) / length2
        return by_parameters, errors, -float(right @ by_parameters + rest @ errors)


@dataclass(frozen=True, eq=False)
class Projected:
    """The rows of an arrow with the pieces' errors taken out."""

    rows: Array
    """(m + P, p)"""
    residual: Array
    """(m + P,)"""
    hat: Array
    """What the pieces' columns have in the hat matrix's diagonal, (m + P,)."""
    length2: Array
    """Squared length of each piece's column, (P,)."""
    mean: Array
    """How a piece's error follows the parameters, (P, p)."""
    rest: Array
    """... and the residuals, (P,)."""

    def step(self) -> tuple[Array, Array, float]:
        """What to add to parameters and errors, and the squares that a linear problem loses."""
        count = self.rows.shape[1]
        factor = triangle(np.column_stack([self.rows, self.residual]))
        step = -inverse(factor[:count, :count]) @ factor[:count, count]
        moved = factor[:count, :count] @ step
        lost = float(moved @ moved + (self.length2 * self.rest**2).sum())
        return step, -self.rest - self.mean @ step, lost


def triangle(rows: Array) -> Array:
    """The triangle R of rows = Q R, (at most p, p): all that least squares asks of the rows."""
    found: Array = np.asarray(np.linalg.qr(rows, mode="r"))
    return found


def inverse(factor: Array) -> Array:
    """Pseudo-inverse of a triangle, (p, at most p)."""
    found: Array = np.linalg.pinv(factor, rcond=RANK)
    return found
