! Million cell updates per second of Clawpack's classic kernels in a compiled loop, one thread:
! step1 (second order, MC limiter) with the Euler solver of Roe, Sod's tube, constant gamma.
! Prints the cells and the rate, best of several. Built by scripts/bench from the kernels' source.
program peer
    implicit none
    integer, parameter :: sizes(3) = (/ 24, 100, 1000 /)
    integer :: i

    do i = 1, size(sizes)
        write(*, '(i6, f9.2)') sizes(i), best(sizes(i))
    end do

contains

    ! Best rate of five runs over one Sod tube, in million cell updates per second of processor time.
    double precision function best(cells)
        integer, intent(in) :: cells
        integer :: k, rounds
        double precision :: start, finish
        integer :: updates

        rounds = max(1, 2000000 / cells**2)
        best = 0.d0
        do k = 1, 5
            call cpu_time(start)
            updates = run(cells, rounds)
            call cpu_time(finish)
            best = max(best, 1.d-6 * updates / (finish - start))
        end do
    end function best

    ! Cell updates of `rounds` Sod tubes up to time 0.2 at a Courant number of 0.9 or below.
    integer function run(cells, rounds)
        integer, intent(in) :: cells, rounds
        integer, parameter :: ghosts = 2, equations = 3, waves = 3
        double precision, parameter :: fastest = 2.2d0
        double precision :: q(equations, 1-ghosts:cells+ghosts), aux(1, 1-ghosts:cells+ghosts)
        double precision :: f(equations, 1-ghosts:cells+ghosts), s(waves, 1-ghosts:cells+ghosts)
        double precision :: wave(equations, waves, 1-ghosts:cells+ghosts)
        double precision :: amdq(equations, 1-ghosts:cells+ghosts)
        double precision :: apdq(equations, 1-ghosts:cells+ghosts), dtdx(1-ghosts:cells+ghosts)
        double precision :: gamma, dx, dt, cfl, t
        integer :: method(7), limiters(waves), round, g
        common /cparam/ gamma
        external :: step1, rp1

        gamma = 1.4d0
        method = (/ 0, 2, 0, 0, 0, 0, 0 /)
        limiters = 4
        dx = 1.d0 / cells
        dt = 0.9d0 * dx / fastest
        aux = 0.d0
        run = 0
        do round = 1, rounds
            q(:, :cells/2) = spread((/ 1.d0, 0.d0, 2.5d0 /), 2, cells/2 + ghosts)
            q(:, cells/2+1:) = spread((/ 0.125d0, 0.d0, 0.25d0 /), 2, cells - cells/2 + ghosts)
            t = 0.d0
            do while (t < 0.2d0)
                do g = 1, ghosts
                    q(:, 1-g) = q(:, 1)
                    q(:, cells+g) = q(:, cells)
                end do
                call step1(equations, waves, ghosts, 0, cells, q, aux, dx, dt, method, limiters, &
                    cfl, f, wave, s, amdq, apdq, dtdx, .false., rp1)
                if (.not. cfl <= 1.d0) stop 'the step is too long'
                t = t + dt
                run = run + cells
            end do
        end do
        if (abs(q(1, 1) - 1.d0) > 1.d-6) stop 'the tube is not as it was at its end'
    end function run
end program peer
